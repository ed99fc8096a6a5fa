using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>
/// What to dispense: for each product called for, the smallest number of fresh containers with which the walk covers every dose of the
/// fill, left-over stock used up first (planning model, section 2). Found by walking, never by dividing.
/// </summary>
internal sealed class DispensingPlan
{
    private const int MostDaysSupply = 400;
    private const int MostContainers = 1_000;

    private readonly CourseSupply _supply;
    private readonly int _from;
    private readonly LocalDate _prepareOn;
    private readonly SortedDictionary<string, (int Step, int Containers)> _items = new(System.StringComparer.Ordinal);

    private DispensingPlan(CourseSupply supply, int from, LocalDate prepareOn)
    {
        _supply = supply;
        _from = from;
        _prepareOn = prepareOn;
    }

    /// <summary>Whether fresh containers would pass their beyond-use date before the last dose of the fill.</summary>
    public bool IsShortened { get; private set; }

    /// <summary>Days from the run-out to the next one with the items.</summary>
    public int DaysSupply { get; private set; }

    /// <summary>What to dispense, in order of step and product.</summary>
    public IReadOnlyList<RefillItem> Items =>
        [.. _items.Where(item => item.Value.Containers > 0).Select(item => new RefillItem(item.Key, _supply.Days.Steps[item.Value.Step].Step.Number, item.Value.Containers)).OrderBy(item => item.Step)];

    /// <summary>The dosing days that the items serve, by step: for what goes with them.</summary>
    public IReadOnlyList<(int Step, int Days)> Served { get; private set; } = [];

    /// <summary>Plans a fill.</summary>
    /// <param name="supply">The course.</param>
    /// <param name="days">The dosing days of the walk that runs out first.</param>
    /// <param name="runOut">Its run-out.</param>
    /// <param name="prepareOn">When fresh containers are made up.</param>
    /// <param name="fillDays">Length of the fill.</param>
    public static DispensingPlan Of(CourseSupply supply, DosingDays days, int runOut, LocalDate prepareOn, int fillDays)
    {
        var plan = new DispensingPlan(supply, runOut, prepareOn);
        var until = runOut + fillDays;
        var undecided = supply.FindOtherProductUndecided();
        var undecidedOn = undecided is int step ? supply.Days.Steps[step].BeginsOn : null;
        var window = undecidedOn is int first && first < until ? int.Max(first, runOut) : until;
        plan.Cover(days, window);
        plan.Served = ListServed(days, runOut, window);
        if (window < until && undecided is int heldBack)
        {
            var held = supply.HoldBack(heldBack);
            var bridge = undecidedOn!.Value + supply.Policy.BridgeDays;
            var before = plan._items.Values.Sum(item => item.Containers);
            plan.Cover(held, bridge);
            if (plan._items.Values.Sum(item => item.Containers) > before)
                plan.Served = [.. plan.Served, .. ListServed(held, window, bridge)];
        }

        plan.DaysSupply = plan.CountDaysSupply(days);
        return plan;
    }

    // Adds containers until the walk covers every dose before a day.
    private void Cover(DosingDays days, int until)
    {
        if (FindLastDosingDay(days, until) is not int lastDay)
            return;
        while (!IsShortened && Walk(days, lastDay) is { Outcome: Outcome.RunsOut } shortOf)
        {
            var product = _supply.Demands[shortOf.Step!.Value].Product;
            var sizes = ListSizes(product, shortOf.Step.Value);
            IsShortened = !Choose(days, lastDay, shortOf, sizes);
        }
    }

    // Chooses the containers of one family; false when no number of them covers the doses.
    private bool Choose(DosingDays days, int lastDay, WalkResult shortOf, IReadOnlyList<Product> sizes)
    {
        var step = shortOf.Step!.Value;
        var before = sizes.ToDictionary(size => size.Id, size => _items.TryGetValue(size.Id, out var item) ? item : (Step: step, Containers: 0));
        (long Discarded, int Containers, int[] Counts)? best = null;
        foreach (var others in ListCounts(days, lastDay, sizes, step))
        {
            SetAll(sizes, before, [.. others, 0]);
            var last = AddUntilCovered(days, lastDay, sizes[^1], step);
            int[] counts = [.. others, last];
            var walk = Walk(days, lastDay);
            if (IsShortOf(walk, sizes[^1]))
                continue;
            var candidate = (walk.Tally.Discarded, counts.Sum(), counts);
            if (best is null || candidate.Discarded < best.Value.Discarded
                || (candidate.Discarded == best.Value.Discarded && candidate.Item2 < best.Value.Containers))
                best = candidate;
        }

        SetAll(sizes, before, best?.Counts ?? new int[sizes.Count]);
        if (best is not null)
            return true;
        AddUntilCovered(days, lastDay, sizes[^1], step);
        return false;
    }

    // Every number of the sizes but the last, each up to what alone would do; the last size fills up.
    private List<int[]> ListCounts(DosingDays days, int lastDay, IReadOnlyList<Product> sizes, int step)
    {
        List<int[]> all = [[]];
        foreach (var size in sizes.Take(sizes.Count - 1))
        {
            var saved = _items.TryGetValue(size.Id, out var item) ? item : (Step: step, Containers: 0);
            var most = AddUntilCovered(days, lastDay, size, step);
            _items[size.Id] = saved;
            all = [.. all.SelectMany(counts => Enumerable.Range(0, most + 1).Select(count => (int[])[.. counts, count]))];
        }

        return all;
    }

    // Adds containers of one size until its family is no longer what the walk lacks, or more of them change nothing; how many were added.
    private int AddUntilCovered(DosingDays days, int lastDay, Product size, int step)
    {
        var before = _items.TryGetValue(size.Id, out var known) ? known : (Step: step, Containers: 0);
        int added = 0, helped = 0;
        var walk = Walk(days, lastDay);
        while (IsShortOf(walk, size) && added < MostContainers)
        {
            added++;
            _items[size.Id] = (before.Step, before.Containers + added);
            var further = Walk(days, lastDay);
            if (!IsShortOf(further, size) || further.Day != walk.Day || further.Tally.Doses != walk.Tally.Doses)
                helped = added;
            else if (added - helped >= MostForOneDose(size, walk))
                break;
            walk = further;
        }

        _items[size.Id] = (before.Step, before.Containers + helped);
        return helped;
    }

    // How many containers of a size one dose may take: until so many are added, adding one more may change nothing.
    private int MostForOneDose(Product size, WalkResult shortOf)
    {
        var doses = _supply.Demands[shortOf.Step!.Value].Doses;
        var injections = doses.Max(dose => dose.Needed.Count);
        return _supply.Policy.SplitDraws && size.Volume is Volume volume
            ? (int)(doses.Max(dose => dose.Needed.Sum()) / volume.Nanolitres) + injections + 1
            : injections;
    }

    private void SetAll(IReadOnlyList<Product> sizes, Dictionary<string, (int Step, int Containers)> before, int[] added)
    {
        for (var index = 0; index < sizes.Count; index++)
        {
            var item = before[sizes[index].Id];
            _items[sizes[index].Id] = (item.Step, item.Containers + added[index]);
        }
    }

    private bool IsShortOf(WalkResult walk, Product size) =>
        walk.Outcome == Outcome.RunsOut && _supply.Demands[walk.Step!.Value].Product.Family == size.Family;

    // The sizes of a family that one injection of a step could come from, the step's own last.
    private IReadOnlyList<Product> ListSizes(Product product, int step)
    {
        var needed = _supply.Demands[step].Doses.SelectMany(dose => dose.Needed).Max();
        return
        [
            .. _supply.Course.Products.Values
                .Where(size => size.Family == product.Family && size.Id != product.Id
                    && (_supply.Policy.SplitDraws || (size.Volume?.Nanolitres ?? 0) >= needed + size.FirstPrime.Nanolitres))
                .OrderBy(size => size.Id, System.StringComparer.Ordinal),
            product,
        ];
    }

    private int CountDaysSupply(DosingDays days)
    {
        var walk = Walk(days, _from + MostDaysSupply);
        return walk.Outcome switch
        {
            Outcome.RunsOut or Outcome.NotComputed => walk.Day - _from,
            Outcome.Ends => walk.Tally.LastCoveredOn is int last ? last - _from + 1 : 0,
            _ => MostDaysSupply,
        };
    }

    private WalkResult Walk(DosingDays days, int lastDay) => _supply.Walk(days, countFrom: _from, lastDay: lastDay, added: ListFresh());

    private List<WalkEvent> ListFresh() =>
    [
        .. _items.Where(item => item.Value.Containers > 0).Select(item => new WalkEvent(_from, WalkEventKind.Arrived, new Fact
        {
            Id = "~fresh",
            CourseId = _supply.Course.Course.Id,
            Kind = FactKind.Dispensed,
            On = DayNumber.Date(_from),
            ProductId = item.Key,
            Containers = item.Value.Containers,
            ExpiresOn = _supply.Course.Products[item.Key].BeyondUseDays is int beyondUse ? _prepareOn.PlusDays(beyondUse) : null,
        })),
    ];

    private int? FindLastDosingDay(DosingDays days, int until)
    {
        int? last = null;
        foreach (var stretch in days.Stretches.Where(stretch => !stretch.IsPaused && stretch.FirstDay < until))
            last = int.Min(stretch.LastDay, stretch.FirstDay + (until - 1 - stretch.FirstDay) / stretch.EveryDays * stretch.EveryDays);
        return last >= _from ? last : null;
    }

    private static List<(int Step, int Days)> ListServed(DosingDays days, int from, int until)
    {
        var served = new List<(int Step, int Days)>();
        foreach (var stretch in days.Stretches.Where(stretch => !stretch.IsPaused))
        {
            var count = CountBefore(stretch, until) - CountBefore(stretch, from);
            if (count > 0)
                served.Add((stretch.Step, count));
        }

        return served;
    }

    private static int CountBefore(Stretch stretch, int day) =>
        day <= stretch.FirstDay ? 0 : int.Min(stretch.Count, (day - stretch.FirstDay + stretch.EveryDays - 1) / stretch.EveryDays);
}
