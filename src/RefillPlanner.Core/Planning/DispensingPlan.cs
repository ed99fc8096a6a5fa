using System;
using System.Collections.Generic;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>Dosing days of a step that a fill serves.</summary>
/// <param name="Step">Index of the step.</param>
/// <param name="Days">How many.</param>
internal readonly record struct ServedDays(int Step, int Days);

/// <summary>
/// What to dispense: for each product called for, the smallest number of fresh containers with which the walk covers every dose of the
/// fill, left-over stock used up first (planning model, section 2). Found by walking, never by dividing.
/// </summary>
internal sealed class DispensingPlan
{
    private const int MostDaysSupply = 400;
    private const int MostContainers = 1_000;
    private const int MostCombinations = 400;

    // Fresh containers are taken after those on record that arrive on the same day and expire on the same day.
    private static readonly Fact Fresh = new() { Id = "~fresh", CourseId = string.Empty, Kind = FactKind.Dispensed, On = NodaTime.LocalDate.MinIsoValue };

    private readonly CourseSupply _supply;
    private readonly int _from;
    private readonly int _prepareOn;
    private readonly int[] _containers;
    private readonly int[] _steps;
    private readonly List<ServedDays> _served = [];
    private DosingDays _days;
    private WalkEvent[] _fresh = [];

    private DispensingPlan(CourseSupply supply, DosingDays days, int from, int prepareOn)
    {
        _supply = supply;
        _days = days;
        _from = from;
        _prepareOn = prepareOn;
        _containers = new int[supply.Shelf.Count];
        _steps = new int[supply.Shelf.Count];
    }

    /// <summary>Whether fresh containers would pass their beyond-use date before the last dose of the fill.</summary>
    public bool IsShortened { get; private set; }

    /// <summary>Days from the run-out to the next one with the items.</summary>
    public int DaysSupply { get; private set; }

    /// <summary>The dosing days that the items serve, by step: for what goes with them.</summary>
    public IReadOnlyList<ServedDays> Served => _served;

    /// <summary>Plans a fill.</summary>
    /// <param name="supply">The course.</param>
    /// <param name="days">The dosing days of the walk that runs out first.</param>
    /// <param name="runOut">Its run-out.</param>
    /// <param name="prepareOn">When fresh containers are made up.</param>
    /// <param name="fillDays">Length of the fill.</param>
    public static DispensingPlan Of(CourseSupply supply, DosingDays days, int runOut, int prepareOn, int fillDays)
    {
        var plan = new DispensingPlan(supply, days, runOut, prepareOn);
        var until = runOut + fillDays;
        var undecided = supply.FindOtherProductUndecided();
        var undecidedOn = undecided is int step ? supply.Days.Steps[step].BeginsOn : null;
        var window = undecidedOn is int first && first < until ? int.Max(first, runOut) : until;
        if (!supply.IsMarked)
            supply.WalkTo(days, runOut);
        plan.Cover(days, window);
        plan.Serve(days, runOut, window);
        if (window < until && undecided is int heldBack)
        {
            var held = supply.HoldBack(heldBack);
            var bridge = undecidedOn!.Value + supply.Policy.BridgeDays;
            var before = Sum(plan._containers);
            if (supply.WalkTo(held, runOut))
                plan.Cover(held, bridge);
            supply.WalkTo(days, runOut);
            if (Sum(plan._containers) > before)
                plan.Serve(held, window, bridge);
        }

        plan.DaysSupply = plan.CountDaysSupply();
        return plan;
    }

    /// <summary>How many containers of the product at a place.</summary>
    public int ContainersOf(int place) => _containers[place];

    /// <summary>Index of the step that calls for the product at a place.</summary>
    public int StepOf(int place) => _steps[place];

    // Adds containers until the walk covers every dose before a day.
    private void Cover(DosingDays days, int until)
    {
        _days = days;
        if (FindLastDosingDay(days, until) is not int lastDay)
            return;
        var walk = IsAtRunOut() ? RunOut() : Walk(lastDay);
        while (!IsShortened && walk.Outcome == Outcome.RunsOut)
            (IsShortened, walk) = Choose(lastDay, walk);
    }

    // Whether nothing was added yet and the walk stands at its run-out, with no dose of that day given: then it is known what it lacks.
    private bool IsAtRunOut() => _supply.IsMarked && Sum(_containers) == 0;

    private WalkResult RunOut() => (_supply.RunsOutEarlierIfHeld ? _supply.Held!.Value : _supply.Main) with { Tally = default };

    // Chooses the containers of the family that a walk lacks: whether no number of them covers the doses, and the walk with them.
    private (bool IsShort, WalkResult Walk) Choose(int lastDay, in WalkResult shortOf)
    {
        var sizes = ListSizes(shortOf.Step);
        var whole = sizes[^1];
        foreach (var size in sizes)
        {
            if (_containers[size] == 0)
                _steps[size] = shortOf.Step;
        }

        if (sizes.Count == 1)
        {
            var covered = AddUntilCovered(lastDay, whole, shortOf);
            return (IsShortOf(covered, whole), covered);
        }

        var before = (int[])_containers.Clone();
        (long Discarded, int Containers, int[] Counts, WalkResult Walk)? best = null;
        foreach (var others in ListCounts(lastDay, sizes, shortOf))
        {
            others.CopyTo(_containers, 0);
            var walk = AddUntilCovered(lastDay, whole, Walk(lastDay));
            if (IsShortOf(walk, whole))
                continue;
            var count = Sum(_containers);
            if (best is null || walk.Tally.Discarded < best.Value.Discarded
                || (walk.Tally.Discarded == best.Value.Discarded && count < best.Value.Containers))
                best = (walk.Tally.Discarded, count, (int[])_containers.Clone(), walk);
        }

        (best?.Counts ?? before).CopyTo(_containers, 0);
        return best is { Walk: var chosen } ? (false, chosen) : (true, AddUntilCovered(lastDay, whole, shortOf));
    }

    // Every number of the sizes but the last, each up to what alone would do; the last size fills up. Of more combinations than anybody
    // would dispense from only none and all of a size are tried.
    private List<int[]> ListCounts(int lastDay, List<int> sizes, in WalkResult shortOf)
    {
        var before = (int[])_containers.Clone();
        List<int[]> all = [before];
        foreach (var size in sizes[..^1])
        {
            AddUntilCovered(lastDay, size, shortOf);
            var most = _containers[size] - before[size];
            before.CopyTo(_containers, 0);
            var further = new List<int[]>();
            var every = all.Count * (most + 1) <= MostCombinations ? 1 : int.Max(most, 1);
            foreach (var counts in all)
            {
                for (var more = 0; more <= most; more += every)
                {
                    var with = (int[])counts.Clone();
                    with[size] += more;
                    further.Add(with);
                }
            }

            all = further;
        }

        return all;
    }

    // Adds containers of one size until its family is no longer what the walk lacks, or more of them change nothing; the walk with them.
    private WalkResult AddUntilCovered(int lastDay, int size, WalkResult walk)
    {
        var before = _containers[size];
        if (IsShortOf(walk, size) && LeastToCover(size, walk, lastDay) is > 1 and var least)
        {
            // Fewer cannot do; where so many do, they are the smallest number.
            _containers[size] = before + least;
            var covered = Walk(lastDay);
            if (!IsShortOf(covered, size))
                return covered;
            _containers[size] = before;
        }

        var most = IsShortOf(walk, size) ? MostForOneDose(size, walk) : 0;
        int added = 0, helped = 0;
        var best = walk;
        while (IsShortOf(walk, size) && added < MostContainers)
        {
            added++;
            _containers[size] = before + added;
            var further = Walk(lastDay);
            if (!IsShortOf(further, size) || further.Day != walk.Day || further.Tally.Doses != walk.Tally.Doses)
                (helped, best, most) = (added, further, IsShortOf(further, size) ? MostForOneDose(size, further) : most);
            else if (added - helped >= most)
                break;
            walk = further;
        }

        _containers[size] = before + helped;
        return best;
    }

    // So many containers of a size it takes at least to cover all doses from the one that a walk lacks on; 0: that cannot be told.
    private int LeastToCover(int size, in WalkResult shortOf, int lastDay)
    {
        var product = _supply.Shelf[size];
        if (_supply.Policy.SplitDraws || _supply.IsStockedAfter(_from) || _supply.Shelf.CountSizes(product.Family) > 1)
            return 0;

        // What was given on that day before the dose lacking is counted with the rest: all but one dose of it is left out again.
        var lacking = _supply.Demands[shortOf.Step];
        long doses = 1 - lacking.Doses.Length;
        var volume = 1 - lacking.NeededPerDay;
        foreach (ref readonly var stretch in _days.Stretches.AsSpan())
        {
            var demand = _supply.Demands[stretch.Step];
            var count = stretch.CountBefore(lastDay + 1) - stretch.CountBefore(shortOf.Day);
            if (stretch.IsPaused || count <= 0 || demand.Family != product.Family)
                continue;
            doses += (long)count * demand.Doses.Length;
            volume += count * demand.NeededPerDay;
        }

        var held = product.Volume - product.FirstPrime;
        var least = product.IsPrefilled || product.Product.Kind == ProductKind.SingleDoseVial ? doses : (volume + held - 1) / held;
        return (int)long.Min(least, MostContainers);
    }

    // How many containers of a size one dose may take: until so many are added, adding one more may change nothing.
    private int MostForOneDose(int size, in WalkResult shortOf)
    {
        var doses = _supply.Demands[shortOf.Step].Doses;
        var injections = 0;
        long needed = 0;
        foreach (var dose in doses)
        {
            injections = int.Max(injections, dose.Needed.Length);
            needed = long.Max(needed, Sum(dose.Needed));
        }

        return _supply.Policy.SplitDraws && _supply.Shelf[size].Volume is > 0 and var volume
            ? (int)(needed / volume) + injections + 1
            : injections;
    }

    private bool IsShortOf(in WalkResult walk, int size) =>
        walk.Outcome == Outcome.RunsOut && _supply.Demands[walk.Step].Family == _supply.Shelf[size].Family;

    // Places of the sizes of a family that one injection of a step could come from, the step's own last.
    private List<int> ListSizes(int step)
    {
        var demand = _supply.Demands[step];
        long needed = 0;
        foreach (var dose in demand.Doses)
        {
            foreach (var injection in dose.Needed)
                needed = long.Max(needed, injection);
        }

        var sizes = new List<int>();
        for (var place = 0; place < _supply.Shelf.Count; place++)
        {
            var size = _supply.Shelf[place];
            if (size.Family == demand.Family && place != demand.Place && (_supply.Policy.SplitDraws || size.Volume >= needed + size.FirstPrime))
                sizes.Add(place);
        }

        sizes.Add(demand.Place);
        return sizes;
    }

    private int CountDaysSupply()
    {
        var walk = Walk(_from + MostDaysSupply);
        return walk.Outcome switch
        {
            Outcome.RunsOut or Outcome.NotComputed => walk.Day - _from,
            Outcome.Ends => walk.Tally.LastCoveredOn is int last ? last - _from + 1 : 0,
            _ => MostDaysSupply,
        };
    }

    private WalkResult Walk(int lastDay) => _supply.WalkOn(ListFresh(), lastDay);

    private ReadOnlySpan<WalkEvent> ListFresh()
    {
        var count = 0;
        foreach (var containers in _containers)
            count += containers > 0 ? 1 : 0;
        if (_fresh.Length < count)
            _fresh = new WalkEvent[count];
        for (int place = 0, next = 0; place < _containers.Length; place++)
        {
            if (_containers[place] > 0)
                _fresh[next++] = new WalkEvent(_from, WalkEventKind.Arrived, place, ExpiresOn(place), _containers[place], Fresh);
        }

        return _fresh.AsSpan(0, count);
    }

    private int ExpiresOn(int place) => _supply.Shelf[place].Product.BeyondUseDays is int days ? _prepareOn + days : DayNumber.Never;

    private int? FindLastDosingDay(DosingDays days, int until)
    {
        int? last = null;
        foreach (ref readonly var stretch in days.Stretches.AsSpan())
        {
            if (!stretch.IsPaused && stretch.FirstDay < until)
                last = int.Min(stretch.LastDay, stretch.FirstDay + (until - 1 - stretch.FirstDay) / stretch.EveryDays * stretch.EveryDays);
        }

        return last >= _from ? last : null;
    }

    private void Serve(DosingDays days, int from, int until)
    {
        foreach (ref readonly var stretch in days.Stretches.AsSpan())
        {
            var count = stretch.IsPaused ? 0 : stretch.CountBefore(until) - stretch.CountBefore(from);
            if (count > 0)
                _served.Add(new ServedDays(stretch.Step, count));
        }
    }

    private static int Sum(int[] counts)
    {
        var sum = 0;
        foreach (var count in counts)
            sum += count;
        return sum;
    }

    private static long Sum(long[] volumes)
    {
        long sum = 0;
        foreach (var volume in volumes)
            sum += volume;
        return sum;
    }
}
