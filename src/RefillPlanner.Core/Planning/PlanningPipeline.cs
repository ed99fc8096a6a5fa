using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>The steps from what is on record to what follows, in order, on one screen. It does nothing else.</summary>
public static class PlanningPipeline
{
    /// <summary>Plans all courses of one patient.</summary>
    /// <param name="courses">All courses of the patient; at least one.</param>
    /// <param name="containers">All sharps containers of the patient.</param>
    /// <param name="policy">The settings of the patient's site.</param>
    /// <param name="asOf">As of D means before D's doses.</param>
    public static PatientPlan Plan(IReadOnlyList<CourseSnapshot> courses, IReadOnlyList<SharpsContainer> containers, Policy policy, LocalDate asOf)
    {
        var openDays = new OpenDays(courses[0].Site);
        var supplies = courses.Select(course => CourseSupply.Of(course, policy, asOf)).ToArray();
        var sharps = SharpsForecasts.List(supplies, containers, openDays);
        return new PatientPlan([.. supplies.Select(supply => PlanCourse(supply, openDays, sharps))], sharps);
    }

    private static CoursePlan PlanCourse(CourseSupply supply, OpenDays openDays, IReadOnlyList<SharpsForecast> sharps)
    {
        var outcome = supply.Report();
        var findings = new List<Finding>(outcome.Findings);
        var refill = RefillPlanning.Find(supply, openDays, sharps, findings);
        var stepUps = StepUpPlanning.List(supply, refill, openDays, findings);
        var unconfirmed = FillsOnTheirWay.ListUnconfirmed(supply, openDays);
        findings.AddRange(unconfirmed.Select(FillsOnTheirWay.Unconfirmed));
        if (outcome.Outcome != Outcome.Ends && !sharps.Any(container => container.IsOut && (container.HasClass || !supply.IsHazardous)))
            findings.Add(new Finding(FindingCode.NoSharpsContainer, supply.IsHazardous ? "The patient injects a hazardous medicine and has no sharps container of its own class on record." : "The patient injects and has no sharps container on record."));
        return new CoursePlan
        {
            CourseId = supply.Course.Course.Id,
            AsOf = supply.AsOf,
            Supply = outcome,
            Refill = refill,
            StepUps = stepUps,
            PresentSince = supply.FindPresentSince() is int since ? DayNumber.Date(since) : null,
            HeldBack = StepUpPlanning.FindHeldBack(supply, refill, openDays),
            Discards = DiscardPlanning.List(supply),
            MissedFrom = supply.Main.MissedFrom is int day ? DayNumber.Date(day) : null,
            LastGivenOn = supply.FindLastGiven() is int given ? DayNumber.Date(given) : null,
            UnconfirmedFills = unconfirmed,
            UncollectedFills = FillsOnTheirWay.ListUncollected(supply, openDays),
            Findings = [.. findings.Distinct()],
        };
    }
}
