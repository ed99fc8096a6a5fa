using System;
using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>
/// All that follows for one patient, in numbers: the courses and the sharps. As long as what is on record is the same, the same numbers
/// mean the same tasks, in the same words.
/// </summary>
public sealed class PatientFigures
{
    /// <summary>
    /// How figures, tasks and their words are made. To be raised whenever the same record would give others: everything is then planned anew.
    /// </summary>
    public const int Version = 3;

    private readonly IReadOnlyList<CourseFigures> _courses;
    private readonly SharpsForecasts _sharps;
    private readonly IReadOnlyList<SharpsContainer> _containers;
    private readonly PackWriter _bytes;

    internal PatientFigures(IReadOnlyList<CourseFigures> courses, SharpsForecasts sharps, IReadOnlyList<SharpsContainer> containers, PackWriter bytes)
    {
        _courses = courses;
        _sharps = sharps;
        _containers = containers;
        _bytes = bytes;
    }

    /// <summary>
    /// The figures in a row, to be kept and compared with those of another day, another policy, another state of products and site. Nothing
    /// in them changes only because a day has passed. Valid until the next patient is worked out on the same bench.
    /// </summary>
    public ReadOnlySpan<byte> Bytes
    {
        get
        {
            var (supply, openDays) = (_courses[0].Supply, _courses[0].OpenDays);
            _bytes.Clear();
            _bytes.Add(Version);
            _bytes.Add(openDays.Stamp);
            _bytes.Add(supply.Policy.ListAt.TickOfDay);
            _bytes.Add(supply.Policy.WindowFrom.TickOfDay);
            _bytes.Add(supply.Policy.BudNoticeDays);
            foreach (var course in _courses)
                course.AddTo(_bytes, _sharps.List);
            foreach (var forecast in _sharps.List)
                AddTo(forecast, supply.AsOf);
            return _bytes.Bytes;
        }
    }

    /// <summary>
    /// The first date on which the figures may be others though no fact, setting, product or site has changed: a date that the plan names
    /// has come or passed. Null: none, as far as can be seen.
    /// </summary>
    public LocalDate? ChangeOn => NextChange.Of(_courses, _sharps, _containers) is var day && day == DayNumber.Never ? null : DayNumber.Date(day);

    /// <summary>The same in words.</summary>
    public PatientPlan Say()
    {
        var plans = new CoursePlan[_courses.Count];
        var (withRefill, sharps) = SharpsReplacement.Of(_courses, _sharps.List);
        for (var index = 0; index < plans.Length; index++)
            plans[index] = _courses[index].Say(sharps, withRefill[index]);
        return new PatientPlan(plans, sharps);
    }

    private void AddTo(SharpsForecast forecast, LocalDate asOf)
    {
        _bytes.Add((long)forecast.State);
        if (!forecast.IsOut)
            return;
        _bytes.Add(forecast.Capacity);
        _bytes.Add(forecast.FillLine);
        _bytes.Add(forecast.FillLineOn is LocalDate full ? DayNumber.Of(full) : null);
        _bytes.Add(forecast.NoticeOn is LocalDate notice ? DayNumber.Of(notice) : null);
        _bytes.Add(forecast.FillLineOn <= asOf);
        _bytes.Add(forecast.ReturnByOn is LocalDate returnBy ? DayNumber.Of(returnBy) : null);
        _bytes.Add(asOf > forecast.ReturnByOn ? (DayNumber.Of(asOf) - DayNumber.Of(forecast.ReturnByOn.Value) - 1) / 7 : null);
    }
}
