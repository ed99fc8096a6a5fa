using System;
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
    /// <summary>The check of each coming step that asks one, in order.</summary>
    public static IReadOnlyList<StepUpPlan> List(CourseSupply supply, RefillPlan? refill, OpenDays openDays, List<Finding> findings)
    {
        var asOf = DayNumber.Of(supply.AsOf);
        var checks = new List<StepUpPlan>();
        for (var index = 0; index < supply.Days.Steps.Count; index++)
        {
            var step = supply.Days.Steps[index];
            if (step.AsksCheck && step.BeginsOn > asOf)
                checks.Add(Plan(index, DayNumber.Date(step.BeginsOn.Value), step.IsApproved, supply, refill, openDays, findings));
        }

        return checks;
    }

    /// <summary>
    /// The check of a step that is held back and begins on no known day: the pharmacist is asked again, at once or in time for the end of
    /// the hold. Null: no step is held back so.
    /// </summary>
    public static StepUpPlan? FindHeldBack(CourseSupply supply, RefillPlan? refill, OpenDays openDays)
    {
        var index = FindIndex(supply, step => step.HeldBackOn is not null && step.BeginsOn is null && !step.IsApproved);
        if (index < 0)
            return null;
        var step = supply.Days.Steps[index];
        var heldUntil = step.Run.Checks
            .Where(check => check.Kind == FactKind.Held && check.Step == step.Step.Number && check.Until is not null)
            .Select(check => check.Until!.Value)
            .DefaultIfEmpty(LocalDate.MinIsoValue)
            .Max();
        var startsOn = LocalDate.Max(DayNumber.Date(step.HeldBackOn!.Value), heldUntil);
        return Plan(index, startsOn, isApproved: false, supply, refill, openDays, []);
    }

    private static int FindIndex(CourseSupply supply, Predicate<RunStep> wanted)
    {
        for (var index = 0; index < supply.Days.Steps.Count; index++)
        {
            if (wanted(supply.Days.Steps[index]))
                return index;
        }

        return -1;
    }

    private static StepUpPlan Plan(int index, LocalDate startsOn, bool isApproved, CourseSupply supply, RefillPlan? refill, OpenDays openDays, List<Finding> findings)
    {
        var policy = supply.Policy;
        var checkByOn = openDays.Minus(startsOn, policy.CheckOpenDays);

        // The first refill that holds a new strength is not prepared before the decision.
        var fillDays = supply.Course.Course.FillDays ?? policy.FillDays;
        if (refill is not null && supply.CallsForOtherProduct(index) && startsOn < refill.ServesOn.PlusDays(fillDays))
            checkByOn = LocalDate.Min(checkByOn, openDays.Minus(refill.PrepareOn, 1));
        if (!openDays.IsKnown(startsOn))
            findings.Add(new Finding(FindingCode.CalendarEnds, $"The closed days of {supply.Course.Site.Name} are not known on {DateText.Full(startsOn)}."));
        return new StepUpPlan
        {
            Step = supply.Days.Steps[index].Step.Number,
            StartsOn = startsOn,
            CheckByOn = checkByOn,
            AlertOn = openDays.Minus(checkByOn, policy.AlertOpenDays),
            Approved = isApproved,
        };
    }
}
