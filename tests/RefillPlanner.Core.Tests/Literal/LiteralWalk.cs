using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>
/// The supply model done literally, one calendar day and one container at a time: slow, obvious, and written from the document alone.
/// What the program answers is compared with it.
/// </summary>
public static class LiteralWalk
{
    public static SupplyOutcome Of(CourseSnapshot course, Policy policy, LocalDate asOf)
    {
        var record = new LiteralRecord(course, asOf);
        var days = new LiteralDays(record, FarAhead(policy, asOf));
        var walk = new LiteralCourse(record, policy, days);
        var (run, step) = FindPresent(record, days);
        var found = new HashSet<string>(walk.Found);
        found.UnionWith(LiteralFindings.OfSteps(course, policy, run, step));
        found.UnionWith(LiteralFindings.OfRecord(record, days, run, step));
        if (HasMissed(walk, days, asOf, (run, step)))
            found.Add(FindingCode.DosesMissed);

        LocalDate? ifHeld = null;
        if (days.Assumed.Count > 0)
            ifHeld = new LiteralCourse(record, policy, new LiteralDays(record, FarAhead(policy, asOf), days.Assumed[0])).RunOutOn;

        var present = run.Steps.Single(other => other.Number == step);
        var outcome = new SupplyOutcome
        {
            Outcome = walk.Outcome,
            Ladder = run.Ladder,
            Step = step,
            Draws = [.. present.Doses.Select(dose => LiteralDraw.Of(course, policy, present, dose))],
            RunOutIfHeldOn = ifHeld,
            Findings = [.. found.Order().Select(code => new Finding(code, code))],
        };
        if (walk.Outcome == Outcome.NotComputed)
            return outcome;
        return outcome with
        {
            RunOutOn = walk.RunOutOn,
            EndsOn = walk.Outcome == Outcome.Ends ? days.EndsOn : null,
            LastCoveredOn = walk.LastCoveredOn,
            DosesCovered = walk.DosesCovered,
            Used = Volume.FromMl(walk.FromAsOf.Used),
            Lost = Volume.FromMl(walk.FromAsOf.Lost),
            Discarded = Volume.FromMl(walk.FromAsOf.Discarded),
            LeftOver = Volume.FromMl(walk.LeftOver),
            ContainersOpened = walk.FromAsOf.Opened,
            BindingLimit = walk.Binding,
        };
    }

    /// <summary>What flowed over the whole walk, and what is left over at its end: conserved when nothing was counted.</summary>
    internal static (Tally Whole, decimal LeftOver) WholeWalk(CourseSnapshot course, Policy policy, LocalDate asOf)
    {
        var record = new LiteralRecord(course, asOf);
        var walk = new LiteralCourse(record, policy, new LiteralDays(record, FarAhead(policy, asOf)));
        return (walk.Whole, walk.LeftOver);
    }

    /// <summary>The present step and a coming one may lie beyond the horizon; days are listed further than the walk goes.</summary>
    private static LocalDate FarAhead(Policy policy, LocalDate asOf) => asOf.PlusDays(policy.HorizonDays + 800);

    private static (LadderRun Run, int Step) FindPresent(LiteralRecord record, LiteralDays days)
    {
        var day = days.All.Find(dosing => !dosing.Paused && dosing.On >= record.AsOf) ?? days.All.FindLast(dosing => !dosing.Paused);
        return day is null ? (record.RunOn(record.AsOf), 1) : (day.Run, day.Step.Number);
    }

    /// <summary>Two or more dosing days in a row not given that touch the present step, or that of the last dosing day before the as-of date.</summary>
    private static bool HasMissed(LiteralCourse walk, LiteralDays days, LocalDate asOf, (LadderRun Run, int Step) present)
    {
        var before = days.All.FindLast(dosing => !dosing.Paused && dosing.On < asOf);
        var row = new List<LiteralDay>();
        foreach (var (day, given) in walk.Walked)
        {
            if (given)
                row.Clear();
            else
                row.Add(day);
            if (row.Count >= 2 && row.Exists(missed => IsOf(missed, present) || (before is not null && IsOf(missed, (before.Run, before.Step.Number)))))
                return true;
        }

        return false;
    }

    private static bool IsOf(LiteralDay day, (LadderRun Run, int Step) step) => ReferenceEquals(day.Run, step.Run) && day.Step.Number == step.Step;
}
