using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>
/// Dosing days not given - missed, paused or without stock - and whether two or more in a row touch the present step, or the step of the
/// last dosing day before the as-of date. Made anew for each walk.
/// </summary>
/// <param name="present">Index of the present step.</param>
/// <param name="before">Index of the step of the last dosing day before the as-of date; -1: none.</param>
internal struct NotGiven(int present, int before)
{
    private int _inARow;
    private int _firstDay;
    private bool _touchesPresent;
    private int _worstFirst;
    private int _worstLast;
    private int _worstCount;
    private int _withoutStock;
    private int _firstWithoutStock;
    private int _lastWithoutStock;

    /// <summary>First day of the last row of two or more that touches the present step; null: none.</summary>
    public readonly int? FirstDay => _worstCount > 0 ? _worstFirst : null;

    /// <summary>A dosing day was given: the row is broken.</summary>
    public void Given() => _inARow = 0;

    /// <summary>Dosing days of a step were not given.</summary>
    public void Add(int step, int firstDay, int everyDays, int count)
    {
        if (_inARow == 0)
            (_firstDay, _touchesPresent) = (firstDay, false);
        _inARow += count;
        _touchesPresent |= step == present || step == before;
        if (_inARow >= 2 && _touchesPresent)
            (_worstFirst, _worstLast, _worstCount) = (_firstDay, firstDay + (count - 1) * everyDays, _inARow);
    }

    /// <summary>Doses before the as-of date had no stock on record.</summary>
    /// <param name="firstDay">The first day of them.</param>
    /// <param name="lastDay">The last day of them.</param>
    /// <param name="doses">How many; 0 or more.</param>
    public void AddWithoutStock(int firstDay, int lastDay, int doses)
    {
        if (doses == 0)
            return;
        if (_withoutStock == 0)
            _firstWithoutStock = firstDay;
        _withoutStock += doses;
        _lastWithoutStock = lastDay;
    }

    /// <summary>Adds what was found doubtful.</summary>
    /// <param name="findings">Where to.</param>
    /// <param name="goesOn">Whether the walk was left with days still to come: a row that lasts until then has no end in sight.</param>
    public readonly void Report(List<WalkFinding> findings, bool goesOn)
    {
        if (_withoutStock > 0 || _worstCount > 0)
            Add(findings, goesOn);
    }

    private readonly void Add(List<WalkFinding> findings, bool goesOn)
    {
        if (_withoutStock > 0)
            findings.Add(new WalkFinding(WalkDoubt.DoseWithoutStock, Fact: null, _withoutStock, _firstWithoutStock, _lastWithoutStock));
        if (_worstCount > 0 && goesOn && _inARow > 0 && _firstDay == _worstFirst)
            findings.Add(new WalkFinding(WalkDoubt.DosesMissed, Fact: null, 0, _worstFirst, DayNumber.Never));
        else if (_worstCount > 0)
            findings.Add(new WalkFinding(WalkDoubt.DosesMissed, Fact: null, _worstCount, _worstFirst, _worstLast));
    }
}
