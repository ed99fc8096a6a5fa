using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>All that follows for one course, in numbers.</summary>
/// <param name="supply">The course, walked.</param>
/// <param name="openDays">The site's.</param>
internal sealed class CourseFigures(CourseSupply supply, OpenDays openDays)
{
    /// <summary>The course, walked.</summary>
    public CourseSupply Supply => supply;

    /// <summary>The site's open days.</summary>
    public OpenDays OpenDays => openDays;

    /// <summary>The next refill; null: the course ends, is covered beyond the horizon, or is not computed.</summary>
    public RefillPlanning? Refill { get; private init; }

    /// <summary>The check of each coming step that asks one, in order.</summary>
    public IReadOnlyList<StepUpPlan> StepUps { get; private init; } = [];

    /// <summary>The check of a step that is held back and begins on no known day; null: there is none.</summary>
    public StepUpPlan? HeldBack { get; private init; }

    /// <summary>Containers that will pass their last day of use with something in them.</summary>
    public IReadOnlyList<DiscardPlan> Discards { get; private init; } = [];

    /// <summary>Works a course out.</summary>
    public static CourseFigures Of(CourseSupply supply, OpenDays openDays)
    {
        var refill = RefillPlanning.Find(supply, openDays);
        return new CourseFigures(supply, openDays)
        {
            Refill = refill,
            StepUps = StepUpPlanning.List(supply, refill, openDays),
            HeldBack = StepUpPlanning.FindHeldBack(supply, refill, openDays),
            Discards = DiscardPlanning.List(supply),
        };
    }

    /// <summary>The same in words.</summary>
    /// <param name="sharps">The forecasts of the patient's sharps containers.</param>
    public CoursePlan Say(IReadOnlyList<SharpsForecast> sharps)
    {
        var outcome = supply.Report();
        var findings = new List<Finding>(outcome.Findings);
        var refill = Refill?.Say(sharps, findings);
        findings.AddRange(StepUpPlanning.ListFindings(supply, StepUps, openDays));
        var unconfirmed = FillsOnTheirWay.ListUnconfirmed(supply, openDays);
        foreach (var fill in unconfirmed)
            findings.Add(FillsOnTheirWay.Unconfirmed(fill));
        if (LacksSharpsContainer(sharps))
            findings.Add(new Finding(FindingCode.NoSharpsContainer, supply.IsHazardous ? "The patient injects a hazardous medicine and has no sharps container of its own class on record." : "The patient injects and has no sharps container on record."));
        return new CoursePlan
        {
            CourseId = supply.Course.Course.Id,
            AsOf = supply.AsOf,
            Supply = outcome,
            Refill = refill,
            StepUps = StepUps,
            PresentSince = DateOf(supply.FindPresentSince()),
            HeldBack = HeldBack,
            Discards = Discards,
            MissedFrom = DateOf(supply.Main.MissedFrom),
            LastGivenOn = DateOf(supply.FindLastGiven()),
            UnconfirmedFills = unconfirmed,
            UncollectedFills = FillsOnTheirWay.ListUncollected(supply, openDays),
            Findings = [.. findings.Distinct()],
        };
    }

    /// <summary>Whether a patient who injects this has no container for the sharps.</summary>
    public bool LacksSharpsContainer(IReadOnlyList<SharpsForecast> sharps)
    {
        if (supply.Main.Outcome == Outcome.Ends)
            return false;
        for (var index = 0; index < sharps.Count; index++)
        {
            if (sharps[index].IsOut && (sharps[index].HasClass || !supply.IsHazardous))
                return false;
        }

        return true;
    }

    private static LocalDate? DateOf(int? day) => day is int known ? DayNumber.Date(known) : null;
}
