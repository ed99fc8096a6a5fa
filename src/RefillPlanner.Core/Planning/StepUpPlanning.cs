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
    public static IReadOnlyList<StepUpPlan> List(CourseSupply supply, RefillPlanning? refill, OpenDays openDays)
    {
        List<StepUpPlan>? checks = null;
        for (var index = 0; index < supply.Days.Steps.Length; index++)
        {
            var step = supply.Days.Steps[index];
            if (step.AsksCheck && step.BeginsOn is int first && first > supply.AsOfDay)
                (checks ??= []).Add(Plan(step, index, first, step.IsApproved, supply, refill, openDays));
        }

        return checks is null ? [] : checks;
    }

    /// <summary>
    /// The check of a step that is held back and begins on no known day: the pharmacist is asked again, at once or in time for the end of
    /// the hold. Nothing is asked about a ladder that another one has replaced. Null: no step is held back so.
    /// </summary>
    public static StepUpPlan? FindHeldBack(CourseSupply supply, RefillPlanning? refill, OpenDays openDays)
    {
        var index = Array.FindIndex(supply.Days.Steps, step => step.HeldBackOn is not null && step.BeginsOn is null && !step.IsApproved && step.Run.EndDay > supply.AsOfDay);
        if (index < 0)
            return null;
        var step = supply.Days.Steps[index];
        var startsOn = step.HeldBackOn!.Value;
        foreach (var check in step.Run.Checks)
        {
            if (check.Kind == FactKind.Held && check.Step == step.Step.Number && check.Until is LocalDate until)
                startsOn = int.Max(startsOn, FirstDosingDay(supply, DayNumber.Of(until)));
        }

        return Plan(step, index, startsOn, isApproved: false, supply, refill, openDays);
    }

    // The first dosing day from a day on, in the rhythm of the step that goes on; the day itself where none is in sight.
    private static int FirstDosingDay(CourseSupply supply, int from)
    {
        foreach (var stretch in supply.Days.Stretches)
        {
            if (!stretch.IsPaused && stretch.LastDay >= from)
                return stretch.FirstDay + stretch.CountBefore(from) * stretch.EveryDays;
        }

        return from;
    }

    /// <summary>What is doubtful about the days of coming checks.</summary>
    public static IEnumerable<Finding> ListFindings(CourseSupply supply, IReadOnlyList<StepUpPlan> checks, OpenDays openDays) => checks
        .Where(check => !openDays.IsKnown(check.StartsOn))
        .Select(check => new Finding(FindingCode.CalendarEnds, $"The closed days of {supply.Course.Site.Name} are not known on {DateText.Full(check.StartsOn)}."));

    private static StepUpPlan Plan(RunStep step, int index, int startsOn, bool isApproved, CourseSupply supply, RefillPlanning? refill, OpenDays openDays)
    {
        var policy = supply.Policy;
        var checkByOn = openDays.Minus(startsOn, policy.CheckOpenDays);

        // The first refill that holds a new strength is not prepared before the decision.
        if (refill is not null && startsOn < refill.ServesOn + refill.FillDays && supply.CallsForOtherProduct(index))
            checkByOn = int.Min(checkByOn, openDays.Minus(refill.Dates.PrepareOn, 1));
        return new StepUpPlan
        {
            Ladder = step.Run.Ladder,
            Step = step.Step.Number,
            StartsOn = DayNumber.Date(startsOn),
            CheckByOn = DayNumber.Date(checkByOn),
            AlertOn = DayNumber.Date(openDays.Minus(checkByOn, policy.AlertOpenDays)),
            Approved = isApproved,
        };
    }
}
