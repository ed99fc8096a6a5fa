using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>One time that a ladder is in force: from its first day to the day before the next run, or before the course stops.</summary>
/// <param name="Index">Its place among the runs of the course; the first is 0.</param>
/// <param name="Ladder">Number of the ladder.</param>
/// <param name="FirstDay">First dosing day, unless a pause moves it.</param>
/// <param name="EndDay">First day that is no longer its own; <see cref="DayNumber.Never"/> if none is known.</param>
/// <param name="Steps">The ladder's steps in order.</param>
/// <param name="Checks">Holds and approvals recorded while it was in force.</param>
internal sealed record LadderRun(int Index, int Ladder, int FirstDay, int EndDay, IReadOnlyList<Step> Steps, IReadOnlyList<Fact> Checks)
{
    /// <summary>The runs of a course in order. Facts before the first run belong to it; of two that begin on one day the last id holds.</summary>
    /// <param name="course">The course with its steps.</param>
    /// <param name="facts">Known facts, in order.</param>
    public static IReadOnlyList<LadderRun> List(CourseSnapshot course, IReadOnlyList<Fact> facts)
    {
        var stop = DayNumber.Never;
        List<Fact>? checks = null;
        var isRestarted = false;
        for (var index = 0; index < facts.Count; index++)
        {
            var fact = facts[index];
            if (fact.Kind == FactKind.Ended)
                stop = int.Min(stop, DayNumber.Of(fact.On));
            else if (fact.Kind is FactKind.Approved or FactKind.Held)
                (checks ??= []).Add(fact);
            isRestarted |= fact.Kind == FactKind.LadderStarted;
        }

        IReadOnlyList<Fact> decisions = checks is null ? [] : checks;
        return isRestarted
            ? ListRuns(course, facts, decisions, stop)
            : [new LadderRun(0, 1, DayNumber.Of(course.Course.StartedOn), stop, course.ListLadder(1), decisions)];
    }

    private static IReadOnlyList<LadderRun> ListRuns(CourseSnapshot course, IReadOnlyList<Fact> facts, IReadOnlyList<Fact> checks, int stop)
    {
        var starts = new SortedDictionary<int, int>();
        foreach (var fact in facts.Where(fact => fact.Kind == FactKind.LadderStarted))
            starts[DayNumber.Of(fact.On)] = fact.Step!.Value;

        // A ladder that begins before the course's own start takes the place of the first one altogether.
        var started = DayNumber.Of(course.Course.StartedOn);
        if (starts.Count == 0 || starts.Keys.First() > started)
            starts[started] = 1;

        // No ladder begins once the course has stopped; the first one stands for it even so.
        var days = starts.Keys.Where((day, index) => index == 0 || day < stop).ToArray();
        return
        [
            .. days.Select((day, index) =>
            {
                var until = index + 1 < days.Length ? days[index + 1] : DayNumber.Never;
                return new LadderRun(
                    index,
                    starts[day],
                    day,
                    int.Min(until, stop),
                    course.ListLadder(starts[day]),
                    [.. checks.Where(check => (index == 0 || DayNumber.Of(check.On) >= day) && DayNumber.Of(check.On) < until)]);
            }),
        ];
    }
}
