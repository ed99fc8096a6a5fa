using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What is doubtful about a ladder, whether or not the walk comes so far (supply model, sections 2 and 3).</summary>
internal static class StepFindings
{
    /// <summary>The findings of the present and the coming steps of the ladder in force, and of the course's pauses, holds and approvals.</summary>
    public static IEnumerable<Finding> List(CourseSupply supply, int present)
    {
        var steps = supply.Days.Steps;
        var run = steps[present].Run;
        for (var index = present; index < steps.Length && steps[index].Run == run; index++)
        {
            foreach (var finding in ListOfStep(supply, index))
                yield return finding;
        }

        foreach (var finding in ListOfChecks(supply, present))
            yield return finding;
        if (supply.Days.Pauses.IsOpen)
            yield return new Finding(FindingCode.PausedOpen, "The course is paused and nobody has said until when.");
    }

    private static IEnumerable<Finding> ListOfStep(CourseSupply supply, int index)
    {
        var step = supply.Days.Steps[index].Step;
        var demand = supply.Demands[index];
        var label = $"Step {step.Number}: ";
        foreach (var finding in demand.Draws.SelectMany(draw => draw.Findings))
            yield return finding with { Text = label + finding.Text };
        if (StepDemand.TooShort(demand.Product, step) is Finding tooShort)
            yield return tooShort;
        if (step.Number > 1 && !step.NeedsCheck)
            yield return new Finding(FindingCode.CheckWaived, $"Step {step.Number} starts without a pharmacist's check, as recorded.");
        foreach (var finding in ListJumps(supply, index, label))
            yield return finding;
    }

    private static IEnumerable<Finding> ListJumps(CourseSupply supply, int index, string label)
    {
        var step = supply.Days.Steps[index].Step;
        var product = supply.Demands[index].Product;
        foreach (var dose in step.Doses.Where(dose => dose > product.MaxDose).Distinct())
            yield return new Finding(FindingCode.DoseJump, $"{label}{DoseText.Amount(dose, product.Unit)} is above the product's highest dose of {DoseText.Amount(product.MaxDose!.Value, product.Unit)}.");
        if (step.Number == 1)
            yield break;

        var before = supply.Days.Steps[index - 1].Step;
        var unitBefore = supply.Demands[index - 1].Product.Unit;
        if ((unitBefore == DoseUnit.Units) != (product.Unit == DoseUnit.Units))
            yield break;
        var (total, totalBefore) = (Total(step), Total(before));
        if (InMcg(total, product.Unit) * 100 > InMcg(totalBefore, unitBefore) * supply.Policy.DoseJumpHundredths)
            yield return new Finding(FindingCode.DoseJump, $"{label}{DoseText.Amount(total, product.Unit)} a dosing day after {DoseText.Amount(totalBefore, unitBefore)}: more than {Exact.Plain(supply.Policy.DoseJumpHundredths / 100m)} times as much.");
    }

    private static IEnumerable<Finding> ListOfChecks(CourseSupply supply, int present)
    {
        foreach (var approval in supply.Outdated)
            yield return new Finding(FindingCode.SignedBeforeChange, $"{approval.Id}: step {approval.Step} was approved on {DateText.Full(approval.On)} for {approval.Signed}; that has changed since. Please check again.");
        var steps = supply.Days.Steps;
        for (var index = 0; index < steps.Length; index++)
        {
            var step = steps[index];
            if (step.AsksCheck && step.Run == steps[present].Run && (index == present || index == present + 1))
            {
                foreach (var approval in new StepCheck(step.Run, step.Step.Number, steps[index - 1].BeginsOn ?? DayNumber.Never).ListNotCurrent(step.BeginsOn ?? DayNumber.Never))
                    yield return new Finding(FindingCode.ApprovalNotCurrent, $"{approval.Id}: the approval of step {step.Step.Number} dated {DateText.Full(approval.On)} does not count: it is older than the step before, or not after a hold. Please check again.");
            }

            foreach (var hold in step.ListHoldsTooLate())
                yield return new Finding(FindingCode.HoldTooLate, $"{hold.Id}: step {step.Step.Number} had begun on {DateText.Full(DayNumber.Date(step.BeginsOn!.Value))} when it was held on {DateText.Full(hold.On)}; it goes on. To step back, record a new ladder.");
        }
    }

    private static Amount Total(Step step) => step.Doses.Aggregate((sum, dose) => sum + dose);

    private static Int128 InMcg(Amount amount, DoseUnit unit) => unit == DoseUnit.Mg ? (Int128)amount.Billionths * 1000 : amount.Billionths;
}
