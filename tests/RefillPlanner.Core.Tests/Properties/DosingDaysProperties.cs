using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tests.Literal;
using Xunit;

namespace RefillPlanner.Core.Tests.Properties;

/// <summary>The days on which a prescription means a dose.</summary>
public sealed class DosingDaysProperties
{
    private const int DaysAhead = 500;

    /// <summary>
    /// Within a run of a ladder every dosing day, paused or not, follows the one before it by the interval of that one's step. The one
    /// exception: a step whose first dosing day fell in a pause and was then held back. Its paused days went by its own rhythm; the
    /// days of the step before go on by theirs, so the next - of the step before, or of the step itself if it is released on that very day -
    /// is some whole number of intervals after the last of them.
    /// </summary>
    [Fact]
    public void Dosing_days_have_no_gap_and_no_overlap() => Courses.Hold(RandomCourses.Any, 20_000, (course, policy, asOf) =>
    {
        var lastDay = DayNumber.Of(asOf) + DaysAhead;
        var days = DosingDays.Resolve(course, KnownFacts.List(course.Facts, asOf), asOf, lastDay);
        foreach (var run in days.Stretches.GroupBy(stretch => days.Steps[stretch.Step].Run.Index))
        {
            if (FindFault(days, [.. run], lastDay) is string fault)
                Courses.Fail($"run {run.Key}: {fault}\n{string.Join('\n', days.Stretches)}", course, policy, asOf);
        }

        for (var index = 1; index < days.Stretches.Length; index++)
        {
            if (days.Stretches[index].FirstDay <= days.Stretches[index - 1].LastDay)
                Courses.Fail($"overlap at {days.Stretches[index]}", course, policy, asOf);
        }

        return days.Stretches.Length > 0;
    });

    [Fact]
    public void A_step_lasts_its_dosing_days_pauses_not_counted() => Courses.Hold(RandomCourses.Any, Courses.Wanted, (course, policy, asOf) =>
    {
        var days = DosingDays.Resolve(course, KnownFacts.List(course.Facts, asOf), asOf, DayNumber.Of(asOf) + DaysAhead);
        for (var index = 0; index + 1 < days.Steps.Length; index++)
        {
            var (step, next) = (days.Steps[index], days.Steps[index + 1]);
            if (next.Run != step.Run || next.BeginsOn is null)
                continue;
            var given = days.Stretches.Where(stretch => stretch.Step == index && !stretch.IsPaused).ToList();
            var before = given.Sum(stretch => next.HeldBackOn is int held ? CountBefore(stretch, held) : stretch.Count);
            if (before != step.Step.DoseDays)
                Courses.Fail($"step {index} had {before} dosing days\n{string.Join('\n', days.Stretches)}", course, policy, asOf);
        }

        return true;
    });

    private static string? FindFault(DosingDays days, List<Stretch> stretches, int lastDay)
    {
        var run = days.Steps[stretches[0].Step].Run;
        if (stretches[0].FirstDay != run.FirstDay)
            return $"begins on {stretches[0].FirstDay}, not on {run.FirstDay}";
        for (var index = 1; index < stretches.Count; index++)
        {
            var (before, next) = (stretches[index - 1], stretches[index]);
            var isMovedAndHeld = before.IsPaused && days.Steps[before.Step].HeldBackOn is not null
                && (next.Step == before.Step - 1 || (next.Step == before.Step && next.FirstDay == days.Steps[next.Step].BeginsOn));
            if (isMovedAndHeld)
            {
                var own = stretches.Last(stretch => stretch.Step == before.Step - 1 && stretch.FirstDay < before.FirstDay);
                if ((next.FirstDay - own.LastDay) % own.EveryDays != 0)
                    return $"{next} is out of the rhythm of {own}";
            }
            else if (next.FirstDay != before.LastDay + before.EveryDays)
            {
                return $"{next} does not follow {before}";
            }
        }

        var border = int.Min(run.EndDay, lastDay + 1);
        var last = stretches[^1];
        if (last.IsPaused && days.Steps[last.Step] is { HeldBackOn: int heldBackOn, BeginsOn: null })
        {
            // Held back at the border: the step before would have gone on only after it.
            var own = stretches.Last(stretch => stretch.Step == last.Step - 1);
            var next = own.LastDay;
            while (next < heldBackOn)
                next += own.EveryDays;
            return next >= border ? null : $"{last} is not the last before {border}";
        }

        var isOver = days.Steps[last.Step].Step.DoseDays is not null && last.Step == days.Steps.Count(step => step.Run.Index <= run.Index) - 1;
        return last.LastDay >= border || (last.LastDay + last.EveryDays < border && !isOver) ? $"{last} is not the last before {border}" : null;
    }

    private static int CountBefore(Stretch stretch, int day) => Enumerable.Range(0, stretch.Count).Count(place => stretch.FirstDay + (place * stretch.EveryDays) < day);
}
