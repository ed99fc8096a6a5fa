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
    private IReadOnlyList<CountSurplus>? _surpluses;

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

    /// <summary>
    /// Counts that found more than the record: doses may not have been given. Worked out when first asked for: it takes a walk of its own, which must not
    /// come between another course of the patient and its marked run-out.
    /// </summary>
    public IReadOnlyList<CountSurplus> Surpluses => _surpluses ??= CountSurplus.List(supply);

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

    /// <summary>Adds the figures, none of which changes only because a day has passed.</summary>
    /// <param name="bytes">Where to.</param>
    /// <param name="sharps">The forecasts of the patient's sharps containers.</param>
    public void AddTo(PackWriter bytes, IReadOnlyList<SharpsForecast> sharps)
    {
        bytes.Add(supply.Stamp);
        AddFacts(bytes);
        AddWalks(bytes);
        foreach (var step in supply.Days.Steps)
        {
            bytes.Add(step.BeginsOn);
            bytes.Add(step.HeldBackOn);
            bytes.Add(step.IsUndecided);
            bytes.Add(step.IsApproved);
        }

        Refill?.AddTo(bytes);
        foreach (var check in StepUps)
            AddTo(check, bytes);
        if (HeldBack is StepUpPlan held)
            AddTo(held, bytes);
        foreach (var discard in Discards)
        {
            bytes.Add(supply.Shelf.PlaceOf(discard.ProductId));
            bytes.Add(DayNumber.Of(discard.DiscardOn));
            bytes.Add(discard.Left.Nanolitres);
            bytes.Add(discard.Containers);
        }

        foreach (var surplus in Surpluses)
        {
            bytes.Add(DayNumber.Of(surplus.Count.On));
            bytes.Add(surplus.Found.Volume.Nanolitres);
            bytes.Add(surplus.Known.Volume.Nanolitres);
            bytes.Add(surplus.Needed.Nanolitres);
            bytes.Add(surplus.Doses);
        }

        bytes.Add(LacksSharpsContainer(sharps));
    }

    /// <summary>The same in words.</summary>
    /// <param name="sharps">The forecasts of the patient's sharps containers.</param>
    /// <param name="containers">How many sharps containers go with the refill.</param>
    public CoursePlan Say(IReadOnlyList<SharpsForecast> sharps, int containers)
    {
        var outcome = supply.Report();
        var findings = new List<Finding>(outcome.Findings);
        var refill = Refill?.Say(containers, findings);
        findings.AddRange(StepUpPlanning.ListFindings(supply, StepUps, openDays));
        var unconfirmed = FillsOnTheirWay.ListUnconfirmed(supply, openDays);
        foreach (var fill in unconfirmed)
            findings.Add(FillsOnTheirWay.Unconfirmed(fill));
        if (LacksSharpsContainer(sharps))
            findings.Add(new Finding(FindingCode.NoSharpsContainer, supply.IsHazardous ? "The patient injects a hazardous medicine and has no sharps container of its own class on record." : "The patient injects and has no sharps container on record."));
        var next = supply.FindNextStep();
        return new CoursePlan
        {
            NextCheckStep = next is int coming ? supply.Days.Steps[coming].Step.Number : null,
            NextCheckFrom = next is int to ? DateOf(supply.Days.Steps[to - 1].BeginsOn) : null,
            CourseId = supply.Course.Course.Id,
            AsOf = supply.AsOf,
            Supply = outcome,
            Refill = refill,
            StepUps = StepUps,
            PresentSince = DateOf(supply.FindPresentSince()),
            HeldBack = HeldBack,
            Discards = Discards,
            Surpluses = Surpluses,
            MissedFrom = DateOf(supply.Main.MissedFrom),
            LastGivenOn = DateOf(supply.FindLastGiven()),
            DaysCovered = ProportionOfDaysCovered.Of(supply.Facts, supply.AsOf),
            UnbilledFills = ProportionOfDaysCovered.CountUnbilled(supply.Facts, supply.AsOf),
            OutdatedApprovals = supply.Outdated,
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

    // Which facts count by now, and which fills are late.
    private void AddFacts(PackWriter bytes)
    {
        var known = 0;
        for (var index = 0; index < supply.Course.Facts.Count; index++)
            known += supply.Course.Facts[index].On <= supply.AsOf ? 1 : 0;
        bytes.Add(known);
        foreach (var approval in supply.Outdated)
            bytes.Add(approval.Step);
        foreach (var fact in supply.Facts)
        {
            if ((FillsOnTheirWay.FindAwaitedThrough(supply, fact, openDays) ?? FillsOnTheirWay.FindKeptThrough(supply, fact, openDays)) is int through)
                bytes.Add(supply.AsOfDay > through);
        }
    }

    private void AddWalks(PackWriter bytes)
    {
        bytes.Add((long)supply.Main.Outcome);
        bytes.Add(supply.Days.Present);
        bytes.Add(supply.Main.Outcome == Outcome.BeyondHorizon ? null : supply.Main.Day);
        bytes.Add(supply.Main.Step);
        bytes.Add((long?)supply.Main.BindingLimit);
        bytes.Add(supply.Main.MissedFrom);
        bytes.Add(supply.Main.MissedFrom <= supply.AsOfDay);
        bytes.Add(supply.Held is { Outcome: Outcome.RunsOut, Day: var day } ? day : null);
        foreach (var doubt in supply.Doubts)
        {
            bytes.Add((long)doubt.Doubt);
            bytes.Add(doubt.Number);
            bytes.Add(doubt.FirstDay);
            bytes.Add(doubt.LastDay);
        }
    }

    private static void AddTo(StepUpPlan check, PackWriter bytes)
    {
        bytes.Add(check.Step);
        bytes.Add(DayNumber.Of(check.StartsOn));
        bytes.Add(DayNumber.Of(check.CheckByOn));
        bytes.Add(DayNumber.Of(check.AlertOn));
        bytes.Add(check.Approved);
    }

    private static LocalDate? DateOf(int? day) => day is int known ? DayNumber.Date(known) : null;
}
