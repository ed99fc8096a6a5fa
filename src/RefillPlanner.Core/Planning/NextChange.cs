using System;
using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>
/// The first day after the as-of date on which a patient's plan may be another one, though nothing new is on record. The plan is a
/// function of facts and policy, not of the hour: between the dates that it names, planning again would find the same.
/// </summary>
internal sealed class NextChange
{
    // How much further than the horizon it is looked for what the horizon will reach.
    private const int DaysAhead = 60;

    private readonly int _asOf;
    private int _first = DayNumber.Never;

    private NextChange(int asOf) => _asOf = asOf;

    /// <summary>The day; <see cref="DayNumber.Never"/>: none, as far as can be seen.</summary>
    public static int Of(IReadOnlyList<CourseFigures> courses, SharpsForecasts sharps, IReadOnlyList<SharpsContainer> containers)
    {
        var change = new NextChange(courses[0].Supply.AsOfDay);
        foreach (var course in courses)
            change.AddCourse(course);
        change.AddSharps(courses, sharps, containers);
        return change._first;
    }

    private void Add(int? day)
    {
        if (day > _asOf && day < _first)
            _first = day.Value;
    }

    private void Add(LocalDate? date)
    {
        if (date is LocalDate known)
            Add(DayNumber.Of(known));
    }

    private void AddCourse(CourseFigures course)
    {
        AddRecord(course);
        AddSteps(course.Supply);
        AddWalk(course.Supply, course.Supply.Days, course.Supply.Main);
        if (course.Supply.Held is WalkResult held)
            AddWalk(course.Supply, course.Supply.HeldDays!, held);
        Add(course.Supply.Main.MissedFrom);
        foreach (var discard in course.Discards)
            Add(discard.DiscardOn);
        foreach (var surplus in course.Surpluses)
            Add(DayNumber.Of(surplus.Count.On) + CountSurplus.LookBackDays + 1);
        if (course.Refill?.LastValidOn is LocalDate lastValidOn)
            Add(DayNumber.Of(lastValidOn) + 1);
    }

    // What is on record with a later date, and fills on their way.
    private void AddRecord(CourseFigures course)
    {
        var supply = course.Supply;
        for (var index = 0; index < supply.Course.Facts.Count; index++)
            Add(supply.Course.Facts[index].On);
        for (var index = 0; index < supply.Course.Prescriptions.Count; index++)
            Add(supply.Course.Prescriptions[index].IssuedOn);
        foreach (var fact in supply.Facts)
        {
            var through = FillsOnTheirWay.FindAwaitedThrough(supply, fact, course.OpenDays) ?? FillsOnTheirWay.FindKeptThrough(supply, fact, course.OpenDays);
            Add(through + 1);
        }
    }

    // A step begins or is held back; another one becomes the present one, or the one of the last dosing day.
    private void AddSteps(CourseSupply supply)
    {
        foreach (var step in supply.Days.Steps)
        {
            if (step.AsksCheck)
                Add(step.BeginsOn);
        }

        foreach (ref readonly var stretch in supply.Days.Stretches.AsSpan())
        {
            if (!stretch.IsPaused && stretch.Step != supply.Days.StepBefore)
                Add(stretch.FirstDay + 1);
        }

        Add(PresentThrough(supply.Days) + 1);
    }

    // The last dosing day of the present step from the as-of date on; null: there is none.
    private int? PresentThrough(DosingDays days)
    {
        int? through = null;
        foreach (ref readonly var stretch in days.Stretches.AsSpan())
        {
            if (stretch.IsPaused || stretch.LastDay < _asOf)
                continue;
            if (stretch.Step != days.Present)
                break;
            through = stretch.LastDay;
        }

        return through;
    }

    private void AddWalk(CourseSupply supply, DosingDays days, in WalkResult walk)
    {
        if (walk.Outcome == Outcome.RunsOut)
            Add(walk.Day + 1);
        if (walk.Outcome != Outcome.BeyondHorizon)
            return;

        // A pause that the horizon crosses lasts longer, or ends, with each day that the horizon moves.
        if (days.Pauses.LastUntil > supply.LastDay - LongestInterval(days))
            Add(_asOf + 1);
        var beyond = supply.FindBeyondHorizon(days, supply.LastDay + DaysAhead);
        Add(beyond is int day ? day - supply.Policy.HorizonDays : _asOf + DaysAhead);
    }

    private static int LongestInterval(DosingDays days)
    {
        var longest = 0;
        foreach (var step in days.Steps)
            longest = int.Max(longest, step.Step.EveryDays);
        return longest;
    }

    private void AddSharps(IReadOnlyList<CourseFigures> courses, SharpsForecasts sharps, IReadOnlyList<SharpsContainer> containers)
    {
        foreach (var container in containers)
        {
            Add(container.IssuedOn);
            Add(container.ReturnedOn);
            Add(container.WrittenOffOn);
        }

        var policy = courses[0].Supply.Policy;
        for (var index = 0; index < sharps.List.Count; index++)
        {
            var forecast = sharps.List[index];
            if (!forecast.IsOut)
                continue;
            Add(forecast.FillLineOn);
            Add(forecast.NoticeOn);
            if (forecast.ReturnByOn is LocalDate returnBy)
                Add(NextOverdueWeek(DayNumber.Of(returnBy)));
            else
                Add(sharps.FindFarFillLine(index) - policy.HorizonDays ?? _asOf + CourseSupply.FarAhead);
            if (policy.SplitDraws)
                Add(_asOf + 1); // A dose out of two pens leaves more sharps than was foreseen.
        }
    }

    // The first day of the next week in which a container is overdue.
    private int NextOverdueWeek(int returnBy) => _asOf <= returnBy ? returnBy + 1 : returnBy + 1 + ((_asOf - returnBy - 1) / 7 + 1) * 7;
}
