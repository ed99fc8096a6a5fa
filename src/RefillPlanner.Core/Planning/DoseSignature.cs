using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>
/// A pharmacist's signature under a dose that is rounded to a mark, or that is a jump: before it no text or picture for the patient shows the mark, and
/// after a jump there is no sheet (supply model, section 2). The check before a dose increase gives it along; a step without such a check, or one that has
/// begun, is signed by itself.
/// </summary>
public static class DoseSignature
{
    /// <summary>
    /// Whether a step of the ladder in force is signed: the last decision about it, since that ladder began, is an approval, and what was signed is what the
    /// step is today. An imported approval keeps no content and counts as it stands.
    /// </summary>
    public static bool IsGiven(CourseSnapshot course, Step step, CoursePlan plan) => KnownFacts.List(course.Facts, plan.AsOf)
        .Reverse()
        .TakeWhile(fact => fact.Kind != FactKind.LadderStarted)
        .FirstOrDefault(fact => fact.Kind is FactKind.Approved or FactKind.Held && fact.Step == step.Number) is { Kind: FactKind.Approved } approval
        && (approval.Signed is null || string.Equals(approval.Signed, SignedContent.Of(course, step), System.StringComparison.Ordinal));

    /// <summary>The present and coming steps that lack it and for which no check asks, in order.</summary>
    public static IReadOnlyList<Step> ListMissing(CourseSnapshot course, CoursePlan plan) =>
    [
        .. course.ListLadder(plan.Supply.Ladder)
            .Where(step => step.Number == 1 || !step.NeedsCheck || step.Number <= plan.Supply.Step)
            .Where(step => IsJump(step, plan) || Has(FindingCode.DoseRounded, step, plan))
            .Where(step => plan.HeldBack?.Step != step.Number && plan.StepUps.All(check => check.Step != step.Number))
            .Where(step => !IsGiven(course, step, plan)),
    ];

    /// <summary>Whether a step of the ladder in force is a jump of the dose, or above the product's highest dose.</summary>
    public static bool IsJump(Step step, CoursePlan plan) => Has(FindingCode.DoseJump, step, plan);

    /// <summary>What a pharmacist types to sign a step.</summary>
    public static string HowTo(CoursePlan plan, Step step) => $"refill-planner sign {plan.CourseId} approve --step {step.Number.ToString(CultureInfo.InvariantCulture)} --by NAME";

    // The texts of these findings begin with the step.
    private static bool Has(string code, Step step, CoursePlan plan) =>
        plan.Findings.Any(finding => finding.Code == code && finding.Text.StartsWith($"Step {step.Number.ToString(CultureInfo.InvariantCulture)}: ", System.StringComparison.Ordinal));
}
