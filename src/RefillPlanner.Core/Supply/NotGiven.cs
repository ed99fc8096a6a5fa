using System.Collections.Generic;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Dosing days not given - missed, paused or without stock - and whether two or more in a row touch the present step.</summary>
/// <param name="days">The dosing days.</param>
/// <param name="asOf">As-of day.</param>
internal sealed class NotGiven(DosingDays days, int asOf)
{
    private readonly int _present = days.PresentStep(asOf);
    private readonly int? _before = days.FindStepBefore(asOf);
    private int _inARow;
    private int _firstDay;
    private bool _touchesPresent;
    private (int FirstDay, int LastDay, int Count)? _worst;
    private int _withoutStock;
    private int _firstWithoutStock;
    private int _lastWithoutStock;

    /// <summary>First day of the last row of two or more that touches the present step; null: none.</summary>
    public int? FirstDay => _worst?.FirstDay;

    /// <summary>A dosing day was given: the row is broken.</summary>
    public void Given() => (_inARow, _touchesPresent) = (0, false);

    /// <summary>Dosing days of a step were not given.</summary>
    public void Add(int step, int firstDay, int everyDays, int count)
    {
        if (_inARow == 0)
            _firstDay = firstDay;
        _inARow += count;
        _touchesPresent |= step == _present || step == _before;
        if (_inARow >= 2 && _touchesPresent)
            _worst = (_firstDay, firstDay + (count - 1) * everyDays, _inARow);
    }

    /// <summary>A dose before the as-of date had no stock on record.</summary>
    public void AddWithoutStock(int day)
    {
        if (_withoutStock++ == 0)
            _firstWithoutStock = day;
        _lastWithoutStock = day;
    }

    /// <summary>Adds what was found doubtful.</summary>
    public void Report(List<Finding> findings)
    {
        if (_withoutStock > 0)
            findings.Add(new Finding(FindingCode.DoseWithoutStock, $"{Doses(_withoutStock)} {Span(_firstWithoutStock, _lastWithoutStock)} had no stock on record: the patient had none, or has more than recorded. Please count."));
        if (_worst is var (firstDay, lastDay, count))
            findings.Add(new Finding(FindingCode.DosesMissed, $"{count} dosing days in a row not given, from {DateText.Full(DayNumber.Date(firstDay))} to {DateText.Full(DayNumber.Date(lastDay))}. A pharmacist and the prescriber decide whether to resume or to start lower."));
    }

    private static string Doses(int count) => count == 1 ? "1 dose" : $"{count} doses";

    private static string Span(int first, int last) => first == last
        ? $"on {DateText.Full(DayNumber.Date(first))}"
        : $"from {DateText.Full(DayNumber.Date(first))} to {DateText.Full(DayNumber.Date(last))}";
}
