using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>The findings that do not come from the walk itself.</summary>
internal static class LiteralFindings
{
    /// <summary>Of the present and the coming steps of the ladder in force.</summary>
    public static IEnumerable<string> OfSteps(CourseSnapshot course, Policy policy, LadderRun run, int present)
    {
        foreach (var step in run.Steps.Where(step => step.Number >= present))
        {
            var product = course.Products[step.ProductId];
            foreach (var dose in step.Doses)
            {
                foreach (var finding in LiteralDraw.Of(course, policy, step, dose).Findings)
                    yield return finding.Code;
                if (product.MaxDose is Amount most && dose > most)
                    yield return FindingCode.DoseJump;
            }

            if (step.EveryDays < product.MinEveryDays)
                yield return FindingCode.IntervalTooShort;
            if (step.Number > 1 && !step.NeedsCheck)
                yield return FindingCode.CheckWaived;
            if (step.Number > 1 && Jumps(course, policy, run.Steps.Single(other => other.Number == step.Number - 1), step))
                yield return FindingCode.DoseJump;
        }
    }

    /// <summary>Of pauses, holds and approvals.</summary>
    public static IEnumerable<string> OfRecord(LiteralRecord record, LiteralDays days, LadderRun run, int present)
    {
        if (record.Pauses.Exists(pause => pause.Until is null))
            yield return FindingCode.PausedOpen;

        // A hold of a step that had begun before that day changes nothing.
        foreach (var hold in record.Of(FactKind.Held))
        {
            if (days.FirstOn.TryGetValue((record.RunOn(hold.On), hold.Step!.Value), out var begun) && begun < hold.On)
                yield return FindingCode.HoldTooLate;
        }

        foreach (var step in run.Steps.Where(step => step.Number > 1 && step.NeedsCheck && (step.Number == present || step.Number == present + 1)))
        {
            // A hold after the step had begun voids no approval.
            var holds = record.ListOf(FactKind.Held, run, step.Number)
                .FindAll(hold => !days.FirstOn.TryGetValue((run, step.Number), out var begun) || hold.On <= begun);
            foreach (var approval in record.ListOf(FactKind.Approved, run, step.Number))
            {
                var stepBefore = days.FirstOn.TryGetValue((run, step.Number - 1), out var first) ? (LocalDate?)first : null;
                if (stepBefore is not LocalDate from || approval.On < from || holds.Exists(hold => hold.On >= approval.On))
                    yield return FindingCode.ApprovalNotCurrent;
            }
        }
    }

    private static bool Jumps(CourseSnapshot course, Policy policy, Step before, Step step)
    {
        var (total, isMass) = TotalOf(course, step);
        var (totalBefore, wasMass) = TotalOf(course, before);
        return isMass == wasMass && total * 100 > totalBefore * policy.DoseJumpHundredths;
    }

    /// <summary>The amounts of a dosing day, mass in mcg.</summary>
    private static (decimal Total, bool IsMass) TotalOf(CourseSnapshot course, Step step)
    {
        var unit = course.Products[step.ProductId].Unit;
        return (step.Doses.Sum(dose => dose.Value) * (unit == DoseUnit.Mg ? 1000 : 1), unit != DoseUnit.Units);
    }
}
