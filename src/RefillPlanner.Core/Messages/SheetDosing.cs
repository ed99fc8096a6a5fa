using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Core.Messages;

/// <summary>The dosing days that a sheet may show: from the as-of date to the first that waits for a pharmacist, paused ones left out.</summary>
internal sealed class SheetDosing
{
    private readonly DosingDays _resolved;

    private SheetDosing(DosingDays resolved, int from, int until)
    {
        _resolved = resolved;
        WaitsFrom = resolved.FindUndecided() is int step && resolved.Steps[step].BeginsOn is int begins && begins < until ? begins : null;
        Days =
        [
            .. Given
                .SelectMany(stretch => Enumerable.Range(0, stretch.Count).Select(count => (Day: stretch.FirstDay + count * stretch.EveryDays, resolved.Steps[stretch.Step].Step)))
                .Where(day => day.Day >= from && day.Day < (WaitsFrom ?? until))
                .OrderBy(day => day.Day),
        ];
    }

    /// <summary>The days, as numbers, each with its step.</summary>
    public IReadOnlyList<(int Day, Step Step)> Days { get; }

    /// <summary>The day from which on the dose waits for a pharmacist; null: it waits for nobody within these weeks.</summary>
    public int? WaitsFrom { get; }

    private IEnumerable<Stretch> Given => _resolved.Stretches.Where(stretch => !stretch.IsPaused);

    /// <summary>The days of a course.</summary>
    public static SheetDosing Of(CourseSnapshot course, CoursePlan plan)
    {
        var (from, until) = (DayNumber.Of(plan.AsOf), DayNumber.Of(plan.AsOf) + PatientSheet.Days);
        return new SheetDosing(DosingDays.Resolve(course, KnownFacts.List(course.Facts, plan.AsOf), plan.AsOf, until), from, until);
    }

    /// <summary>How many injections came before a day since the course began, by all steps until then; those of a pause are none.</summary>
    /// <param name="day">The day, as a number.</param>
    /// <param name="injections">How many injections a dosing day of a step has.</param>
    public long CountInjectionsBefore(int day, Func<Step, int> injections) =>
        Given.Where(stretch => stretch.FirstDay < day).Sum(stretch => (long)stretch.CountBefore(day) * injections(_resolved.Steps[stretch.Step].Step));
}
