using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>Plans the pharmacist's check before the next dose increase (planning model, section 3).</summary>
internal static class StepUpPlanning
{
    /// <summary>The check of the earliest coming step that asks one; null: none does.</summary>
    public static StepUpPlan? Find(CourseSupply supply, RefillPlan? refill, OpenDays openDays, List<Finding> findings)
    {
        var asOf = DayNumber.Of(supply.AsOf);
        var step = supply.Days.Steps.FirstOrDefault(step => step.AsksCheck && step.BeginsOn > asOf);
        return step is null
            ? null
            : Plan(step.Step.Number, DayNumber.Date(step.BeginsOn!.Value), step.IsApproved, supply, refill, openDays, findings);
    }

    /// <summary>
    /// The check of a step that is held back and begins on no known day: the pharmacist is asked again, at once or in time for the end of
    /// the hold. Null: no step is held back so.
    /// </summary>
    public static StepUpPlan? FindHeldBack(CourseSupply supply, RefillPlan? refill, OpenDays openDays)
    {
        var step = supply.Days.Steps.FirstOrDefault(step => step.HeldBackOn is not null && step.BeginsOn is null && !step.IsApproved);
        if (step is null)
            return null;
        var heldUntil = step.Run.Checks
            .Where(check => check.Kind == FactKind.Held && check.Step == step.Step.Number && check.Until is not null)
            .Select(check => check.Until!.Value)
            .DefaultIfEmpty(LocalDate.MinIsoValue)
            .Max();
        var startsOn = LocalDate.Max(DayNumber.Date(step.HeldBackOn!.Value), heldUntil);
        return Plan(step.Step.Number, startsOn, isApproved: false, supply, refill, openDays, []);
    }

    private static StepUpPlan Plan(int number, LocalDate startsOn, bool isApproved, CourseSupply supply, RefillPlan? refill, OpenDays openDays, List<Finding> findings)
    {
        var policy = supply.Policy;
        var checkByOn = openDays.Minus(startsOn, policy.CheckOpenDays);

        // The first refill whose days hold the new step is not prepared before the decision.
        var fillDays = supply.Course.Course.FillDays ?? policy.FillDays;
        if (refill is not null && startsOn < refill.ServesOn.PlusDays(fillDays))
            checkByOn = LocalDate.Min(checkByOn, openDays.Minus(refill.PrepareOn, 1));
        if (!openDays.IsKnown(startsOn))
            findings.Add(new Finding(FindingCode.CalendarEnds, $"The closed days of {supply.Course.Site.Name} are not known on {startsOn:uuuu-MM-dd}."));
        return new StepUpPlan
        {
            Step = number,
            StartsOn = startsOn,
            CheckByOn = checkByOn,
            AlertOn = openDays.Minus(checkByOn, policy.AlertOpenDays),
            Approved = isApproved,
        };
    }
}
