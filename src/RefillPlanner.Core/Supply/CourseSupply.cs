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
    /// <summary>Days beyond the horizon to which dosing days are resolved: the present step, or the coming one, may lie there.</summary>
    public const int FarAhead = 800;

    private readonly Workbench _bench;
    private readonly WalkEvent[] _events;
    private readonly WalkCourse _walked;
    private readonly WalkCourse? _walkedHeld;

    private CourseSupply(CourseSnapshot course, Policy policy, LocalDate asOf, Workbench bench)
    {
        _bench = bench;
        Course = course;
        Policy = policy;
        AsOf = asOf;
        AsOfDay = DayNumber.Of(asOf);
        Facts = KnownFacts.List(course.Facts, asOf);
        LastDay = AsOfDay + policy.HorizonDays;
        Shelf = bench.ShelfOf(course.Products);
        Days = DosingDays.Resolve(course, Facts, asOf, LastDay + FarAhead);
        Outdated = OutdatedApprovals.List(course, Days, asOf);
        if (Outdated.Count > 0)
        {
            Facts = [.. Facts.Where(fact => !Outdated.Contains(fact))];
            Days = DosingDays.Resolve(course, Facts, asOf, LastDay + FarAhead);
        }

        Demands = new StepDemand[Days.Steps.Length];
        for (var step = 0; step < Demands.Length; step++)
            Demands[step] = bench.DemandOf(course, Shelf, Days.Steps[step].Step, policy);
        _events = WalkEvent.List(Facts, Shelf);
        _walked = Resolve(Days);
        Main = Walk(Days);
        var walker = bench.Walker;
        bench.MarkedBy = Main.Outcome == Outcome.RunsOut && walker.MarkRunOut() ? this : null;
        Doubts = walker.Findings.Count == 0 ? [] : [.. walker.Findings];
        Passed = walker.ListPassed();
        Given = walker.Given.Count == 0 ? [] : [.. walker.Given];
        Undecided = Days.FindUndecided();
        if (Undecided is int held)
        {
            HeldDays = HoldBack(held);
            _walkedHeld = Resolve(HeldDays);
            Held = Walk(HeldDays);
            if (RunsOutEarlierIfHeld)
                bench.MarkedBy = walker.MarkRunOut() ? this : null;
        }
    }

    /// <summary>What is on record.</summary>
    public CourseSnapshot Course { get; }

    /// <summary>The settings.</summary>
    public Policy Policy { get; }

    /// <summary>The as-of date; as of D means before D's doses.</summary>
    public LocalDate AsOf { get; }

    /// <summary>The same as a number.</summary>
    public int AsOfDay { get; }

    /// <summary>The facts that count on that date, in order.</summary>
    public Fact[] Facts { get; }

    /// <summary>Approvals that count no longer, because what was signed has changed before the step began: the check is asked again.</summary>
    public IReadOnlyList<Fact> Outdated { get; }

    /// <summary>The horizon's day.</summary>
    public int LastDay { get; }

    /// <summary>The dosing days as prescribed, with what is assumed.</summary>
    public DosingDays Days { get; }

    /// <summary>The products, each at its place.</summary>
    public ProductShelf Shelf { get; }

    /// <summary>What each step takes.</summary>
    public StepDemand[] Demands { get; }

    /// <summary>What <see cref="Main"/> found doubtful, in the order found.</summary>
    public IReadOnlyList<WalkFinding> Doubts { get; }

    /// <summary>What passes its last day of use after the as-of date in <see cref="Main"/>, in order.</summary>
    public IReadOnlyList<PassedContainers> Passed { get; }

    /// <summary>The days before the as-of date that were given in <see cref="Main"/>, in order.</summary>
    public IReadOnlyList<GivenDays> Given { get; }

    /// <summary>The walk over <see cref="Days"/>.</summary>
    public WalkResult Main { get; }

    /// <summary>Index of the coming step that nobody has decided; null: none waits.</summary>
    public int? Undecided { get; }

    /// <summary>The dosing days if that step is held back; null: none waits.</summary>
    public DosingDays? HeldDays { get; }

    /// <summary>The walk over <see cref="HeldDays"/>; null: none waits.</summary>
    public WalkResult? Held { get; }

    /// <summary>Resolves and walks a course.</summary>
    public static CourseSupply Of(CourseSnapshot course, Policy policy, LocalDate asOf, Workbench bench) => new(course, policy, asOf, bench);

    /// <summary>Walks again, over other days or with containers added.</summary>
    public WalkResult Walk(DosingDays days, int? countFrom = null, int? lastDay = null, WalkJournal? journal = null) =>
        _bench.Walker.Run(CourseOf(days), countFrom ?? AsOfDay, lastDay ?? LastDay, journal);

    /// <summary>Whether the walk with the held step runs out before the main one.</summary>
    public bool RunsOutEarlierIfHeld => Held is { Outcome: Outcome.RunsOut } held && (Main.Outcome != Outcome.RunsOut || held.Day < Main.Day);

    /// <summary>Whether the walker can go on from the run-out: until it walks to another day, or another course is worked out on the bench.</summary>
    public bool IsMarked => ReferenceEquals(_bench.MarkedBy, this);

    /// <summary>Walks to a day over other days, to go on from there with containers added: see <see cref="WalkOn"/>.</summary>
    /// <returns>False where the walk ends before the day.</returns>
    public bool WalkTo(DosingDays days, int day)
    {
        _bench.MarkedBy = null;
        return _bench.Walker.WalkTo(CourseOf(days), day);
    }

    /// <summary>Goes on from the run-out, or from the day of <see cref="WalkTo"/>, with containers that arrive on it; figures count from it.</summary>
    public WalkResult WalkOn(ReadOnlySpan<WalkEvent> added, int lastDay) => _bench.Walker.Resume(added, lastDay);

    /// <summary>The last day before the as-of date on which a dose was given; null: none.</summary>
    public int? FindLastGiven() => Given.Count > 0 ? Given[^1].LastDay : null;

    /// <summary>
    /// Index of the earliest undecided step that calls for another product than the step before: a higher dose of the same container is no
    /// reason to split a fill. Null: there is none such.
    /// </summary>
    public int? FindOtherProductUndecided()
    {
        for (var step = 0; step < Days.Steps.Length; step++)
        {
            if (Days.Steps[step].IsUndecided && CallsForOtherProduct(step))
                return step;
        }

        return null;
    }

    /// <summary>The dosing days with a step held back for good.</summary>
    public DosingDays HoldBack(int step) => Days.HoldBack(AsOfDay, LastDay + FarAhead, step);

    /// <summary>Whether a step calls for another product than the one before it.</summary>
    public bool CallsForOtherProduct(int step) => Demands[step].Family != Demands[step - 1].Family;

    /// <summary>First dosing day of the present step; null: it has not begun by the as-of date.</summary>
    public int? FindPresentSince() =>
        Days.Steps[Days.Present].BeginsOn is int begun && begun <= AsOfDay ? begun : null;

    /// <summary>
    /// Index of the first step of the run in force that has not begun before the as-of date, and is not its first; null: there is none.
    /// </summary>
    public int? FindNextStep()
    {
        var run = Days.Steps[Days.Present].Run;
        for (var step = 1; step < Days.Steps.Length; step++)
        {
            if (Days.Steps[step].Run == run && Days.Steps[step].Step.Number > 1 && !(Days.Steps[step].BeginsOn < AsOfDay))
                return step;
        }

        return null;
    }

    /// <summary>Whether the product of the present step is hazardous.</summary>
    public bool IsHazardous => Demands[Days.Present].Product.Hazardous;

    /// <summary>Whether any step calls for a hazardous product.</summary>
    public bool HasHazardous
    {
        get
        {
            foreach (var demand in Demands)
            {
                if (demand.Product.Hazardous)
                    return true;
            }

            return false;
        }
    }

    /// <summary>Of the products and syringes of all steps, with their names and labels.</summary>
    public Stamp Stamp
    {
        get
        {
            var stamp = Stamp.Empty;
            foreach (var demand in Demands)
                stamp = stamp.With(unchecked((long)demand.Stamp.Value));
            return stamp;
        }
    }

    /// <summary>What passes its last day of use beyond the horizon first, and where the walk would end there: looking further, for planning ahead.</summary>
    /// <param name="days">The dosing days.</param>
    /// <param name="through">The last day walked.</param>
    /// <returns>The earlier of the two; null: neither comes through that day.</returns>
    public int? FindBeyondHorizon(DosingDays days, int through)
    {
        var walk = Walk(days, lastDay: through);
        int? first = walk.Outcome == Outcome.BeyondHorizon ? null : walk.Day;
        foreach (var passed in _bench.Walker.ListPassed())
        {
            if (passed.Day > LastDay && (first is null || passed.Day < first))
                first = passed.Day;
        }

        return first;
    }

    /// <summary>Whether a fill on record arrives after a day.</summary>
    public bool IsStockedAfter(int day)
    {
        for (var place = _events.Length - 1; place >= 0 && _events[place].Day > day; place--)
        {
            if (_events[place].Kind == WalkEventKind.Arrived)
                return true;
        }

        return false;
    }

    /// <summary>The fills on record, each with the day on which it came or is to come, in order of that day.</summary>
    public IEnumerable<(Fact Fill, LocalDate On)> ListArrivals() =>
        _events.Where(happened => happened.Kind == WalkEventKind.Arrived).Select(happened => (happened.Fact, DayNumber.Date(happened.Day)));

    /// <summary>What the walk has of a lot on a day, before its doses.</summary>
    /// <param name="on">The day; where the walk ends before it, its end.</param>
    /// <param name="lot">The lot.</param>
    /// <param name="productId">The product, of exactly which size; null: every one.</param>
    public (int Sealed, bool HasOpen) CountOfLot(LocalDate on, string lot, string? productId)
    {
        WalkTo(Days, DayNumber.Of(on));
        return _bench.Walker.CountOfLot(lot, productId is null ? -1 : Shelf.PlaceOf(productId));
    }

    /// <summary>The days recorded as missed from a day on, each once, in order.</summary>
    public IEnumerable<int> ListMissed(int from)
    {
        var last = int.MinValue;
        foreach (var happened in _events)
        {
            if (happened.Kind != WalkEventKind.Missed || happened.Day < from || happened.Day == last)
                continue;
            last = happened.Day;
            yield return last;
        }
    }

    private WalkCourse CourseOf(DosingDays days) =>
        ReferenceEquals(days, Days) ? _walked
        : ReferenceEquals(days, HeldDays) ? _walkedHeld!
        : Resolve(days);

    private WalkCourse Resolve(DosingDays days) => new(days, Demands, Shelf, _events, AsOfDay, Policy.SplitDraws);

    /// <summary>The fields of section 5.</summary>
    public SupplyOutcome Report()
    {
        var present = Days.Present;
        var step = Days.Steps[present];
        var stops = Main.Outcome == Outcome.NotComputed ? Demands[Main.Step].Stops : [];
        var outcome = new SupplyOutcome
        {
            Outcome = Main.Outcome,
            Ladder = step.Run.Ladder,
            Step = step.Step.Number,
            Draws = Demands[present].Draws,
            RunOutIfHeldOn = Held is { Outcome: Outcome.RunsOut, Day: var heldDay } ? DayNumber.Date(heldDay) : null,
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
        findings.AddRange(Doubts.Select(doubt => doubt.Say()));
        findings.AddRange(StepFindings.List(this, present));
        return [.. findings.Distinct()];
    }
}
