using System;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Containers thrown away past their last day of use.</summary>
/// <param name="Day">The day: the one after the last day of use.</param>
/// <param name="Product">Place of the product.</param>
/// <param name="Left">What one of them still held, in nanolitres.</param>
/// <param name="Count">How many.</param>
/// <param name="IsOpen">Whether it was open.</param>
/// <param name="IsExpiry">Whether the beyond-use date ended it, rather than the in-use limit.</param>
internal readonly record struct PassedContainers(int Day, int Product, long Left, int Count, bool IsOpen, bool IsExpiry);

/// <summary>
/// Where a walk stands: the day, the stock of each family, what was added up, what was found doubtful. Kept from walk to walk, so that
/// nothing is allocated.
/// </summary>
internal sealed class WalkState
{
    private Stock[] _stocks = [];
    private readonly Stock _saved = new();
    private int[] _lastCounts = [];
    private int _countFrom;
    private Tally _tally;
    private bool _hasCounts;
    private Tally _savedTally;
    private int _savedInjections;
    private (int Lines, WalkLine? Last) _savedMark;

    /// <summary>The course.</summary>
    public WalkCourse Course { get; private set; } = null!;

    /// <summary>All products of the course.</summary>
    public ProductShelf Shelf => Course.Shelf;

    /// <summary>What is doubtful.</summary>
    public List<WalkFinding> Findings { get; } = [];

    /// <summary>What passed its last day of use, in order.</summary>
    public List<PassedContainers> Passed { get; } = [];

    /// <summary>The working; null: nobody asked for it.</summary>
    public WalkJournal? Journal { get; private set; }

    /// <summary>What happens to the stock, in order.</summary>
    public WalkEvent[] Events => Course.Events;

    /// <summary>The day walked.</summary>
    public int Day { get; set; }

    /// <summary>Injections given so far, whatever the day.</summary>
    public int Injections { get; set; }

    /// <summary>What was added up.</summary>
    public ref readonly Tally Tally => ref _tally;

    /// <summary>How many families there are.</summary>
    public int FamilyCount { get; private set; }

    /// <summary>First day on which any container is past its last day of use.</summary>
    public int NextPastDate => FamilyCount == 1 ? _stocks[0].NextPastDate : FindNextPastDate();

    /// <summary>What is left in containers, in nanolitres.</summary>
    public long FindLeftOver()
    {
        long leftOver = 0;
        for (var family = 0; family < FamilyCount; family++)
            leftOver += _stocks[family].Volume(Shelf);
        return leftOver;
    }

    private bool Counts => Day >= _countFrom;

    /// <summary>Empties it for another walk.</summary>
    /// <param name="course">The course.</param>
    /// <param name="countFrom">First day whose figures count.</param>
    /// <param name="journal">Where the working goes; null: nobody asked for it.</param>
    public void Begin(WalkCourse course, int countFrom, WalkJournal? journal)
    {
        (Course, _countFrom, Journal, FamilyCount) = (course, countFrom, journal, course.Shelf.FamilyCount);
        (_tally, Injections) = (default, 0);
        if (Findings.Count > 0)
            Findings.Clear();
        if (Passed.Count > 0)
            Passed.Clear();
        if (_stocks.Length < FamilyCount)
        {
            var known = _stocks.Length;
            Array.Resize(ref _stocks, FamilyCount);
            for (var family = known; family < FamilyCount; family++)
                _stocks[family] = new Stock();
        }

        for (var family = 0; family < FamilyCount; family++)
            _stocks[family].Clear();
        _hasCounts = false;
    }

    private int FindNextPastDate(int except = -1)
    {
        var next = DayNumber.Never;
        for (var family = 0; family < FamilyCount; family++)
        {
            if (family != except)
                next = int.Min(next, _stocks[family].NextPastDate);
        }

        return next;
    }

    /// <summary>First day on which a container of another family is past its last day of use.</summary>
    public int FindNextPastDateBeside(int family) => FamilyCount == 1 ? DayNumber.Never : FindNextPastDate(family);

    /// <summary>The stock of a family.</summary>
    public Stock StockOf(int family) => _stocks[family];

    /// <summary>Sealed containers of a lot, and whether an open one is of it.</summary>
    /// <param name="lot">The lot.</param>
    /// <param name="product">Place of the product; -1: every one.</param>
    public (int Sealed, bool HasOpen) CountOfLot(string lot, int product)
    {
        var (sealedOnes, hasOpen) = (0, false);
        for (var family = 0; family < FamilyCount; family++)
        {
            var stock = _stocks[family];
            hasOpen |= stock.HasOpen && stock.Open.Left > 0 && IsOf(stock.Open.Source, stock.Open.Product);
            for (var place = 0; place < stock.FillCount; place++)
                sealedOnes += IsOf(stock[place].Source, stock[place].Product) ? stock[place].Count : 0;
        }

        return (sealedOnes, hasOpen);

        bool IsOf(int source, int of) => source >= 0 && source < Events.Length && (product < 0 || of == product) && string.Equals(Events[source].Fact.Lot, lot, System.StringComparison.Ordinal);
    }

    /// <summary>What ended the supply of a family, when a dose of it is not covered.</summary>
    /// <param name="family">Place of the family.</param>
    /// <param name="needed">What the dose's first injection takes, in nanolitres.</param>
    public BindingLimit FindLimit(int family, long needed)
    {
        var latest = int.MinValue;
        var limit = BindingLimit.Volume;
        for (var index = Passed.Count - 1; index >= _stocks[family].PassedBefore && Passed[index].Day >= latest; index--)
        {
            var passed = Passed[index];
            var product = Shelf[passed.Product];
            if (product.Family != family || (passed.Left < needed && !product.IsPrefilled))
                continue;
            latest = passed.Day;
            limit = passed.IsExpiry || limit == BindingLimit.Expiry ? BindingLimit.Expiry : BindingLimit.InUse;
        }

        for (var other = 0; other < FamilyCount && limit == BindingLimit.Volume; other++)
        {
            if (other != family && _stocks[other].HasAny)
                limit = BindingLimit.Product;
        }

        return limit;
    }

    /// <summary>The day of the last count of a size; null: it was never counted.</summary>
    public int? FindLastCount(int product) => _hasCounts && _lastCounts[product] != DayNumber.Never ? _lastCounts[product] : null;

    /// <summary>The first day after another one on which containers of a size arrived, by today; null: none did.</summary>
    public int? FindFirstArrival(int product, int after)
    {
        for (var place = 0; place < Events.Length && Events[place].Day <= Day; place++)
        {
            ref readonly var happened = ref Events[place];
            if (happened.Kind == WalkEventKind.Arrived && happened.Product == product && happened.Day > after)
                return happened.Day;
        }

        return null;
    }

    /// <summary>A size was counted on this day.</summary>
    public void SetCounted(int product)
    {
        if (!_hasCounts)
        {
            if (_lastCounts.Length < Shelf.Count)
                _lastCounts = new int[Shelf.Count];
            Array.Fill(_lastCounts, DayNumber.Never);
            _hasCounts = true;
        }

        _lastCounts[product] = Day;
    }

    /// <summary>Adds what was drawn for doses and what was lost with it.</summary>
    public void AddDrawn(long used, long lost)
    {
        if (Counts)
            _tally.Draw(used, lost);
    }

    /// <summary>Adds doses covered, the last of them on a day.</summary>
    public void AddDoses(int doses, int lastDay)
    {
        if (Counts)
            _tally.Cover(doses, lastDay);
    }

    /// <summary>Opens a sealed container of a stock, pushing out what its first use takes.</summary>
    /// <param name="stock">The stock.</param>
    /// <param name="place">Place of the fill among its sealed containers.</param>
    /// <param name="why">For the working.</param>
    /// <param name="fact">What tells of it, instead; null: the walk opens it.</param>
    public void Open(Stock stock, int place, string why, Fact? fact = null)
    {
        var product = Shelf[stock[place].Product];
        if (Counts)
            _tally.Open(1, product.FirstPrime);
        if (product.IsPrefilled)
            stock.Take(place, 1);
        else
            stock.OpenSealed(place, product.InUseLastOn(Day), Day);
        Journal?.Add(Day, WalkLineKind.Opened, product.Product.Id, 1, product.Fresh, fact?.Id ?? why);
    }

    /// <summary>Uses up prefilled syringes of the first fill, which has as many: an injection each.</summary>
    public void UseSyringes(Stock stock, int count)
    {
        if (Counts)
            _tally.Open(count, count * Shelf[stock[0].Product].FirstPrime);
        stock.Take(0, count);
        Injections += count;
    }

    /// <summary>Throws away what is left in the open container, if one is open.</summary>
    public void DiscardOpen(Stock stock, ClosedBy why, Fact? fact = null)
    {
        if (!stock.HasOpen)
            return;
        Discard(stock.Open.Product, stock.Open.Left, 1, why, fact);
        stock.ClearOpen();
    }

    /// <summary>Throws containers away.</summary>
    /// <param name="product">Place of the product.</param>
    /// <param name="volume">What each holds, in nanolitres.</param>
    /// <param name="count">How many.</param>
    /// <param name="why">Why.</param>
    /// <param name="fact">What tells of it, for the working; null: the walk itself.</param>
    public void Discard(int product, long volume, int count, ClosedBy why, Fact? fact = null)
    {
        if (Counts)
            _tally.Discard(volume * count);
        if (Journal is not null)
            Journal.Discard(Day, Shelf[product].Product.Id, volume, count, why, fact);
    }

    /// <summary>Makes it equal to another state in everything but figures, findings and working: they begin anew.</summary>
    public void CopyStocks(WalkState other)
    {
        Begin(other.Course, other._countFrom, journal: null);
        for (var family = 0; family < FamilyCount; family++)
            _stocks[family].CopyAll(other._stocks[family]);
        Passed.AddRange(other.Passed);
        _hasCounts = other._hasCounts;
        if (!_hasCounts)
            return;
        if (_lastCounts.Length < other._lastCounts.Length)
            _lastCounts = new int[other._lastCounts.Length];
        Array.Copy(other._lastCounts, _lastCounts, other._lastCounts.Length);
    }

    /// <summary>Remembers everything that a dose may change.</summary>
    public void Save(Stock stock)
    {
        _saved.CopyFrom(stock);
        (_savedTally, _savedInjections, _savedMark) = (_tally, Injections, Journal?.Mark ?? default);
    }

    /// <summary>Takes everything since <see cref="Save"/> back.</summary>
    public void Restore(Stock stock)
    {
        stock.CopyFrom(_saved);
        (_tally, Injections) = (_savedTally, _savedInjections);
        Journal?.Restore(_savedMark);
    }
}
