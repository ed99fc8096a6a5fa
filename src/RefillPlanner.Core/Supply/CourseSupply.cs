using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>A course resolved for one as-of date: its facts, dosing days, demands, and the walks over them.</summary>
internal sealed class CourseSupply
{
    // Dosing days are resolved further than the walk goes: the present step, or the coming one, may lie beyond the horizon.
    private const int FarAhead = 800;

    private readonly WalkEvent[] _events;

    private CourseSupply(CourseSnapshot course, Policy policy, LocalDate asOf)
    {
        Course = course;
        Policy = policy;
        AsOf = asOf;
        Facts = KnownFacts.List(course.Facts, asOf);
        LastDay = DayNumber.Of(asOf) + policy.HorizonDays;
        Days = DosingDays.Resolve(course, Facts, asOf, LastDay + FarAhead);
        Demands = [.. Days.Steps.Select(step => StepDemand.Of(course, step.Step, policy))];
        _events = WalkEvent.List(Facts);
        Main = Walk(Days);
        Undecided = Days.FindUndecided();
        if (Undecided is int held)
        {
            HeldDays = HoldBack(held);
            Held = Walk(HeldDays);
        }
    }

    /// <summary>What is on record.</summary>
    public CourseSnapshot Course { get; }

    /// <summary>The settings.</summary>
    public Policy Policy { get; }

    /// <summary>The as-of date; as of D means before D's doses.</summary>
    public LocalDate AsOf { get; }

    /// <summary>The facts that count on that date, in order.</summary>
    public IReadOnlyList<Fact> Facts { get; }

    /// <summary>The horizon's day.</summary>
    public int LastDay { get; }

    /// <summary>The dosing days as prescribed, with what is assumed.</summary>
    public DosingDays Days { get; }

    /// <summary>What each step takes.</summary>
    public IReadOnlyList<StepDemand> Demands { get; }

    /// <summary>The walk over <see cref="Days"/>.</summary>
    public WalkResult Main { get; }

    /// <summary>Index of the coming step that nobody has decided; null: none waits.</summary>
    public int? Undecided { get; }

    /// <summary>The dosing days if that step is held back; null: none waits.</summary>
    public DosingDays? HeldDays { get; }

    /// <summary>The walk over <see cref="HeldDays"/>; null: none waits.</summary>
    public WalkResult? Held { get; }

    /// <summary>Resolves and walks a course.</summary>
    public static CourseSupply Of(CourseSnapshot course, Policy policy, LocalDate asOf) => new(course, policy, asOf);

    /// <summary>Walks again, over other days or with containers added.</summary>
    public WalkResult Walk(DosingDays days, int? countFrom = null, int? lastDay = null, IReadOnlyList<WalkEvent>? added = null, WalkJournal? journal = null, List<GivenDays>? given = null) =>
        SupplyWalk.Run(
            Course.Products,
            Demands,
            _events,
            new WalkRequest(days, DayNumber.Of(AsOf), countFrom ?? DayNumber.Of(AsOf), lastDay ?? LastDay) { Added = added ?? [], Journal = journal, Given = given },
            Policy.SplitDraws);

    /// <summary>The last day before the as-of date on which a dose was given; null: none.</summary>
    public int? FindLastGiven()
    {
        var asOf = DayNumber.Of(AsOf);
        var given = new List<GivenDays>();
        Walk(Days, lastDay: asOf - 1, given: given);
        return given.Count > 0 ? given[^1].FirstDay + (given[^1].Count - 1) * given[^1].EveryDays : null;
    }

    /// <summary>
    /// Index of the earliest undecided step that calls for another product than the step before: a higher dose of the same container is no
    /// reason to split a fill. Null: there is none such.
    /// </summary>
    public int? FindOtherProductUndecided()
    {
        for (var step = 0; step < Days.Steps.Count; step++)
        {
            if (Days.Steps[step].IsUndecided && CallsForOtherProduct(step))
                return step;
        }

        return null;
    }

    /// <summary>The dosing days with a step held back for good.</summary>
    public DosingDays HoldBack(int step) => DosingDays.Resolve(Course, Facts, AsOf, LastDay + FarAhead, step);

    /// <summary>Whether a step calls for another product than the one before it.</summary>
    public bool CallsForOtherProduct(int step) => Demands[step].Product.Family != Demands[step - 1].Product.Family;

    /// <summary>First dosing day of the present step; null: it has not begun by the as-of date.</summary>
    public int? FindPresentSince() =>
        Days.Steps[Days.PresentStep(DayNumber.Of(AsOf))].BeginsOn is int begun && begun <= DayNumber.Of(AsOf) ? begun : null;

    /// <summary>Whether the product of the present step is hazardous.</summary>
    public bool IsHazardous => Demands[Days.PresentStep(DayNumber.Of(AsOf))].Product.Hazardous;

    /// <summary>Whether a day's doses are recorded as missed.</summary>
    public bool IsMissed(int day) => _events.Any(item => item.Kind == WalkEventKind.Missed && item.Day == day);

    /// <summary>The fields of section 5.</summary>
    public SupplyOutcome Report()
    {
        var present = Days.PresentStep(DayNumber.Of(AsOf));
        var step = Days.Steps[present];
        var stops = Main.Outcome == Outcome.NotComputed ? Demands[Main.Step!.Value].Stops : [];
        var outcome = new SupplyOutcome
        {
            Outcome = Main.Outcome,
            Ladder = step.Run.Ladder,
            Step = step.Step.Number,
            Draws = Demands[present].Draws,
            RunOutIfHeldOn = Held?.Outcome == Outcome.RunsOut ? DayNumber.Date(Held.Day) : null,
            Findings = ListFindings(present, stops),
        };
        return stops.Count > 0
            ? outcome
            : outcome with
            {
                RunOutOn = Main.Outcome == Outcome.RunsOut ? DayNumber.Date(Main.Day) : null,
                EndsOn = Main.Outcome == Outcome.Ends ? DayNumber.Date(Days.EndDay!.Value) : null,
                LastCoveredOn = Main.Tally.LastCoveredOn is int last ? DayNumber.Date(last) : null,
                DosesCovered = Main.Tally.Doses,
                Used = new Volume(Main.Tally.Used),
                Lost = new Volume(Main.Tally.Lost),
                Discarded = new Volume(Main.Tally.Discarded),
                LeftOver = new Volume(Main.LeftOver),
                ContainersOpened = Main.Tally.Opened,
                BindingLimit = Main.BindingLimit,
            };
    }

    // The stopping ones first, then those of the walk, then those of the steps.
    private List<Finding> ListFindings(int present, IReadOnlyList<Finding> stops)
    {
        var findings = new List<Finding>(stops);
        findings.AddRange(Main.Findings);
        findings.AddRange(StepFindings.List(this, present));
        return [.. findings.Distinct()];
    }
}
