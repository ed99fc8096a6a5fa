using System;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Containers thrown away past their last day of use with something in them.</summary>
/// <param name="Day">The day: the one after the last day of use.</param>
/// <param name="Product">Place of the product.</param>
/// <param name="Left">What one of them still held, in nanolitres.</param>
/// <param name="Count">How many.</param>
/// <param name="IsOpen">Whether it was open.</param>
internal readonly record struct PassedContainers(int Day, int Product, long Left, int Count, bool IsOpen);

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
    private long _used;
    private long _lost;
    private long _discarded;
    private int _opened;
    private int _doses;
    private int _lastCoveredOn;
    private bool _hasCounts;
    private Tally _savedTally;
    private int _savedInjections;
    private int _savedMark;

    /// <summary>All products of the course.</summary>
    public ProductShelf Shelf { get; private set; } = null!;

    /// <summary>What is doubtful.</summary>
    public List<WalkFinding> Findings { get; } = [];

    /// <summary>What passed its last day of use after the as-of date, in order.</summary>
    public List<PassedContainers> Passed { get; } = [];

    /// <summary>The working; null: nobody asked for it.</summary>
    public WalkJournal? Journal { get; private set; }

    /// <summary>What happens to the stock, in order.</summary>
    public WalkEvent[] Events { get; private set; } = [];

    /// <summary>The as-of date.</summary>
    public int AsOf { get; private set; }

    /// <summary>The day walked.</summary>
    public int Day { get; set; }

    /// <summary>Injections given so far, whatever the day.</summary>
    public int Injections { get; set; }

    /// <summary>What was added up.</summary>
    public Tally Tally => new(_used, _lost, _discarded, _opened, _doses, _doses > 0 ? _lastCoveredOn : null);

    /// <summary>How many families there are.</summary>
    public int FamilyCount { get; private set; }

    /// <summary>First day on which any container is past its last day of use.</summary>
    public int NextPastDate => FamilyCount == 1 ? _stocks[0].NextPastDate : FindNextPastDate();

    private bool Counts => Day >= _countFrom;

    /// <summary>Empties it for another walk.</summary>
    /// <param name="shelf">All products of the course; at least one.</param>
    /// <param name="events">What happens to the stock, in order.</param>
    /// <param name="asOf">The as-of date.</param>
    /// <param name="countFrom">First day whose figures count.</param>
    /// <param name="journal">Where the working goes; null: nobody asked for it.</param>
    public void Begin(ProductShelf shelf, WalkEvent[] events, int asOf, int countFrom, WalkJournal? journal)
    {
        (Shelf, Events, AsOf, _countFrom, Journal, FamilyCount) = (shelf, events, asOf, countFrom, journal, shelf.FamilyCount);
        (_used, _lost, _discarded, _opened, _doses, Injections) = (0, 0, 0, 0, 0, 0);
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

    private int FindNextPastDate()
    {
        var next = DayNumber.Never;
        for (var family = 0; family < FamilyCount; family++)
            next = int.Min(next, _stocks[family].NextPastDate);
        return next;
    }

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

        bool IsOf(int source, int of) => source >= 0 && source < Events.Length && (product < 0 || of == product) && string.Equals(Events[source].Lot, lot, System.StringComparison.Ordinal);
    }

    /// <summary>The day of the last count of a size; null: it was never counted.</summary>
    public int? FindLastCount(int product) => _hasCounts && _lastCounts[product] != DayNumber.Never ? _lastCounts[product] : null;

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
        if (!Counts)
            return;
        _used += used;
        _lost += lost;
    }

    /// <summary>Adds doses covered, the last of them on a day.</summary>
    public void AddDoses(int doses, int lastDay)
    {
        if (!Counts)
            return;
        _doses += doses;
        _lastCoveredOn = lastDay;
    }

    /// <summary>Opens a sealed container of a stock, pushing out what its first use takes.</summary>
    public void Open(Stock stock, int place, string why)
    {
        var product = Shelf[stock[place].Product];
        if (Counts)
        {
            _opened++;
            _lost += product.FirstPrime;
        }

        var left = product.Volume - product.FirstPrime;
        if (product.IsPrefilled)
            stock.Take(place, 1);
        else
            stock.OpenSealed(place, product.InUseLastOn(Day), Day, left);
        Journal?.Add(Day, WalkLineKind.Opened, product.Product.Id, 1, left, why);
    }

    /// <summary>Throws away what is left in the open container, if one is open.</summary>
    public void DiscardOpen(Stock stock, ClosedBy why, string note = "")
    {
        if (!stock.HasOpen)
            return;
        Discard(stock.Open.Product, stock.Open.Left, 1, why, note);
        stock.ClearOpen();
    }

    /// <summary>Throws containers away.</summary>
    /// <param name="product">Place of the product.</param>
    /// <param name="volume">What each holds, in nanolitres.</param>
    /// <param name="count">How many.</param>
    /// <param name="why">Why.</param>
    /// <param name="note">For the working.</param>
    public void Discard(int product, long volume, int count, ClosedBy why, string note = "")
    {
        if (Counts)
            _discarded += volume * count;
        for (var number = 0; number < count && Journal is not null; number++)
            Journal.Add(Day, WalkLineKind.Discarded, Shelf[product].Product.Id, 1, volume, note, why);
    }

    /// <summary>Makes it equal to another state in everything but figures, findings and working: they begin anew.</summary>
    public void CopyStocks(WalkState other)
    {
        Begin(other.Shelf, other.Events, other.AsOf, other._countFrom, journal: null);
        for (var family = 0; family < FamilyCount; family++)
            _stocks[family].CopyAll(other._stocks[family]);
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
        (_savedTally, _savedInjections, _savedMark) = (Tally, Injections, Journal?.Mark ?? 0);
    }

    /// <summary>Takes everything since <see cref="Save"/> back.</summary>
    public void Restore(Stock stock)
    {
        stock.CopyFrom(_saved);
        (_used, _lost, _discarded, _opened, _doses, var lastCoveredOn) = _savedTally;
        _lastCoveredOn = lastCoveredOn ?? 0;
        Injections = _savedInjections;
        Journal?.Restore(_savedMark);
    }
}
