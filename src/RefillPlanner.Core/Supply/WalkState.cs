using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Where a walk stands: the day, the stock of each family, what was added up, what was found doubtful.</summary>
/// <param name="products">All products of the course.</param>
/// <param name="countFrom">First day whose figures count.</param>
/// <param name="journal">Where the working goes; null: nobody asked for it.</param>
internal sealed class WalkState(IReadOnlyDictionary<string, Product> products, int countFrom, WalkJournal? journal)
{
    private Tally _tally;

    /// <summary>The stock of each family, by its id.</summary>
    public IReadOnlyDictionary<string, Stock> Stocks { get; } = products.Values.Select(product => product.Family).Distinct().ToDictionary(family => family, _ => new Stock());

    /// <summary>All products of the course.</summary>
    public IReadOnlyDictionary<string, Product> Products => products;

    /// <summary>What is doubtful.</summary>
    public List<Finding> Findings { get; } = [];

    /// <summary>The working; null: nobody asked for it.</summary>
    public WalkJournal? Journal => journal;

    /// <summary>The day walked.</summary>
    public int Day { get; set; }

    /// <summary>What was added up.</summary>
    public Tally Tally => _tally;

    /// <summary>First day on which any container is past its last day of use.</summary>
    public int NextPastDate
    {
        get
        {
            var next = DayNumber.Never;
            foreach (var stock in Stocks.Values)
                next = int.Min(next, stock.NextPastDate);
            return next;
        }
    }

    /// <summary>Injections given so far, whatever the day.</summary>
    public int Injections { get; set; }

    private bool Counts => Day >= countFrom;

    /// <summary>Adds what was drawn for doses and what was lost with it.</summary>
    public void AddDrawn(long used, long lost)
    {
        if (!Counts)
            return;
        _tally.Used += used;
        _tally.Lost += lost;
    }

    /// <summary>Adds a dose covered on this day.</summary>
    public void AddDose() => AddDoses(1, Day);

    /// <summary>Adds doses covered, the last of them on a day.</summary>
    public void AddDoses(int doses, int lastDay)
    {
        if (!Counts)
            return;
        _tally.Doses += doses;
        _tally.LastCoveredOn = lastDay;
    }

    /// <summary>Opens a sealed container of a stock, pushing out what its first use takes.</summary>
    public void Open(Stock stock, int place, string why)
    {
        var container = stock.Take(place);
        var lost = container.Product.FirstPrime.Nanolitres;
        if (Counts)
        {
            _tally.Opened++;
            _tally.Lost += lost;
        }

        if (container.Product.Kind != ProductKind.PrefilledSyringe)
            stock.Open = new OpenContainer(container.Product, container.ExpiresOn, container.Lot, Day, container.Volume - lost);
        journal?.Add(Day, WalkLineKind.Opened, container.Product.Id, 1, container.Volume - lost, why);
    }

    /// <summary>Throws away what is left in the open container.</summary>
    public void DiscardOpen(Stock stock, ClosedBy why, string note = "")
    {
        if (stock.Open is not OpenContainer open)
            return;
        stock.Open = null;
        Discard(open.Product, open.Left, why, note);
    }

    /// <summary>Throws a volume away.</summary>
    public void Discard(Product product, long volume, ClosedBy why, string note = "")
    {
        if (Counts)
            _tally.Discarded += volume;
        journal?.Add(Day, WalkLineKind.Discarded, product.Id, 1, volume, note, why);
    }

    /// <summary>What must be remembered to take a dose back.</summary>
    public (Tally Tally, int Mark) Save() => (_tally, journal?.Mark ?? 0);

    /// <summary>Takes everything since <see cref="Save"/> back.</summary>
    public void Restore((Tally Tally, int Mark) saved)
    {
        _tally = saved.Tally;
        journal?.Restore(saved.Mark);
    }
}
