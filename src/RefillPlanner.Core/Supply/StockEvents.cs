using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What facts and dates do to the stock on one day (supply model, section 4).</summary>
internal static class StockEvents
{
    /// <summary>Adds the containers of a fill.</summary>
    /// <param name="state">The walk.</param>
    /// <param name="fill">The fill.</param>
    /// <param name="source">Its place among the events; after the last one: planned, not on record.</param>
    public static void Arrive(WalkState state, in WalkEvent fill, int source)
    {
        var product = state.Shelf[fill.Product];
        var stock = state.StockOf(product.Family);
        if (fill.Containers > 0)
            stock.Add(new SealedContainers(fill.Product, fill.ExpiresOn, state.Day, source, fill.Containers, product.Fresh), state.Events);
        stock.PassedBefore = state.Passed.Count;
        state.Journal?.Add(state.Day, WalkLineKind.Arrived, product.Product.Id, fill.Containers, product.Volume * fill.Containers, fill.Fact.Id);
    }

    /// <summary>Sets the stock of the named size to what was seen.</summary>
    /// <param name="state">The walk.</param>
    /// <param name="count">The count.</param>
    /// <param name="source">Its place among the events.</param>
    public static void Count(WalkState state, in WalkEvent count, int source)
    {
        var stock = state.StockOf(state.Shelf[count.Product].Family);
        var isOpen = stock.HasOpen && stock.Open.Product == count.Product;
        var known = state.Journal is null ? null : CountedStock.Of(stock, state.Shelf, count.Product);
        var earliest = FindEarliestExpiry(stock, count.Product, isOpen);
        if (count.Left > 0)
            CountOpen(state, stock, count, isOpen);
        else if (isOpen)
            stock.ClearOpen();
        CountSealed(state, stock, count, source, earliest);
        state.SetCounted(count.Product);
        stock.PassedBefore = state.Passed.Count;
        state.Journal?.Count(state.Day, count.Fact, count.Containers, stock.HasOpen ? stock.Open.Left : 0, known!, CountedStock.Of(stock, state.Shelf, count.Product));
    }

    /// <summary>Throws away every container whose last day of use is over.</summary>
    public static void PassDates(WalkState state)
    {
        for (var family = 0; family < state.FamilyCount; family++)
        {
            var stock = state.StockOf(family);
            if (stock.NextPastDate <= state.Day)
                PassDates(state, stock);
        }
    }

    /// <summary>Opens the container of the named size that the walk would open.</summary>
    /// <param name="state">The walk.</param>
    /// <param name="opening">What happens.</param>
    /// <param name="nextNeeded">What the first injection of the next dose of this family takes; null: no such dose comes next.</param>
    public static void Open(WalkState state, in WalkEvent opening, long? nextNeeded)
    {
        var stock = state.StockOf(state.Shelf[opening.Product].Family);
        var place = stock.FindFirst(opening.Product);
        if (place < 0)
        {
            state.Findings.Add(new WalkFinding(WalkDoubt.OpenedWithoutStock, opening.Fact, 0));
            return;
        }

        if (stock.HasOpen && nextNeeded is long needed && stock.Open.Left >= needed)
            state.Findings.Add(new WalkFinding(WalkDoubt.OpeningDisagrees, opening.Fact, stock.Open.Left));
        state.DiscardOpen(stock, ClosedBy.OtherOpened, opening.Fact);
        state.Open(stock, place, string.Empty, opening.Fact);
    }

    /// <summary>Takes away what was thrown away: the open container, a number of sealed ones, or a lot.</summary>
    public static void Discard(WalkState state, in WalkEvent thrown)
    {
        for (var family = 0; family < state.FamilyCount; family++)
        {
            if (thrown.Product >= 0 && state.Shelf[thrown.Product].Family != family)
                continue;
            var stock = state.StockOf(family);
            if (thrown.Fact.Lot is not null)
                DiscardLot(state, stock, thrown);
            else if (thrown.Containers >= 0)
                DiscardSealed(state, stock, thrown);
            else if (stock.HasOpen && stock.Open.Product == thrown.Product)
                state.DiscardOpen(stock, ClosedBy.Record, thrown.Fact);
        }
    }

    /// <summary>Throws away every container of a stock whose last day of use is over.</summary>
    public static void PassDates(WalkState state, Stock stock)
    {
        if (stock.HasOpen && stock.Open.LastOn < state.Day)
        {
            ref readonly var open = ref stock.Open;
            var isExpiry = open.ExpiresOn <= open.InUseLastOn;
            state.Passed.Add(new PassedContainers(state.Day, open.Product, open.Left, 1, IsOpen: true, isExpiry));
            state.DiscardOpen(stock, isExpiry ? ClosedBy.BeyondUse : ClosedBy.InUseLimit);
        }

        while (stock.FillCount > 0 && stock[0].ExpiresOn < state.Day)
        {
            var containers = stock.Take(0, stock[0].Count);
            var product = state.Shelf[containers.Product];
            state.Passed.Add(new PassedContainers(state.Day, containers.Product, product.Volume, containers.Count, IsOpen: false, IsExpiry: true));
            state.Discard(containers.Product, product.Volume, containers.Count, ClosedBy.SealedBeyondUse);
        }
    }

    private static void DiscardLot(WalkState state, Stock stock, in WalkEvent thrown)
    {
        if (stock.HasOpen && IsMeant(state, thrown, stock.Open.Product, stock.Open.Source))
            state.DiscardOpen(stock, ClosedBy.Record, thrown.Fact);
        for (var place = stock.FillCount - 1; place >= 0; place--)
        {
            if (!IsMeant(state, thrown, stock[place].Product, stock[place].Source))
                continue;
            var containers = stock.Take(place, stock[place].Count);
            state.Discard(containers.Product, state.Shelf[containers.Product].Volume, containers.Count, ClosedBy.Record, thrown.Fact);
        }
    }

    private static bool IsMeant(WalkState state, in WalkEvent thrown, int product, int source) =>
        source >= 0 && source < state.Events.Length && string.Equals(state.Events[source].Fact.Lot, thrown.Fact.Lot, System.StringComparison.Ordinal) && (thrown.Product < 0 || product == thrown.Product);

    private static void DiscardSealed(WalkState state, Stock stock, in WalkEvent thrown)
    {
        for (var wanted = thrown.Containers; wanted > 0 && stock.FindFirst(thrown.Product) is >= 0 and var place;)
        {
            var containers = stock.Take(place, int.Min(wanted, stock[place].Count));
            state.Discard(containers.Product, state.Shelf[containers.Product].Volume, containers.Count, ClosedBy.Record, thrown.Fact);
            wanted -= containers.Count;
        }
    }

    private static int FindEarliestExpiry(Stock stock, int product, bool isOpen)
    {
        var earliest = isOpen ? stock.Open.ExpiresOn : DayNumber.Never;
        for (var place = 0; place < stock.FillCount; place++)
        {
            if (stock[place].Product == product)
                earliest = int.Min(earliest, stock[place].ExpiresOn);
        }

        return earliest;
    }

    // The open container as counted; where nobody knows since when it is open it is thrown away at once.
    private static void CountOpen(WalkState state, Stock stock, in WalkEvent count, bool isKnown)
    {
        var product = state.Shelf[count.Product];
        if (isKnown)
        {
            var since = count.OpenedOn != DayNumber.Never ? count.OpenedOn : stock.Open.OpenedOn;
            stock.SetOpen(new OpenContainer(count.Product, stock.Open.ExpiresOn, product.InUseLastOn(since), stock.Open.Source, since, count.Left));
            return;
        }

        var place = stock.FindFirst(count.Product);
        var (expiresOn, source) = place < 0 ? (DayNumber.Never, -1) : (stock[place].ExpiresOn, stock[place].Source);
        if (place >= 0)
            stock.Take(place, 1);
        stock.ClearOpen();
        if (FindOpenedOn(state, count) is int openedOn)
            stock.SetOpen(new OpenContainer(count.Product, expiresOn, product.InUseLastOn(openedOn), source, openedOn, count.Left));
        else
            state.Discard(count.Product, count.Left, 1, ClosedBy.OpeningUnknown, count.Fact);
    }

    private static int? FindOpenedOn(WalkState state, in WalkEvent count)
    {
        if (count.OpenedOn != DayNumber.Never)
            return count.OpenedOn;

        var lastCount = state.FindLastCount(count.Product);
        var assumed = state.FindFirstArrival(count.Product, after: lastCount ?? int.MinValue) ?? lastCount + 1;
        state.Findings.Add(new WalkFinding(WalkDoubt.OpeningDateUnknown, count.Fact, assumed ?? DayNumber.Never));
        return assumed;
    }

    private static void CountSealed(WalkState state, Stock stock, in WalkEvent count, int source, int earliest)
    {
        var known = stock.CountSealed(count.Product);
        if (count.Containers > known)
        {
            state.Findings.Add(new WalkFinding(WalkDoubt.CountExceedsRecord, count.Fact, known));
            stock.Add(new SealedContainers(count.Product, earliest, state.Day, source, count.Containers - known, state.Shelf[count.Product].Fresh), state.Events);
        }
        else if (count.Containers < known)
        {
            state.Findings.Add(new WalkFinding(WalkDoubt.CountBelowRecord, count.Fact, known));
            for (var surplus = known - count.Containers; surplus > 0;)
            {
                var place = stock.FindFirst(count.Product);
                surplus -= stock.Take(place, int.Min(surplus, stock[place].Count)).Count;
            }
        }
    }
}
