using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What facts and dates do to the stock on one day (supply model, section 4).</summary>
internal static class StockEvents
{
    /// <summary>Adds the containers of a fill.</summary>
    public static void Arrive(WalkState state, Fact fill)
    {
        var product = state.Products[fill.ProductId!];
        var stock = state.Stocks[product.Family];
        for (var number = 1; number <= fill.Containers; number++)
            stock.Add(new SealedContainer(product, DayNumber.OrNever(fill.ExpiresOn), fill.Lot, state.Day, fill.Id, number));
        stock.Arrivals.Add((product.Id, state.Day));
        stock.PastDates.Clear();
        state.Journal?.Add(state.Day, WalkLineKind.Arrived, product.Id, fill.Containers!.Value, (product.Volume?.Nanolitres ?? 0) * fill.Containers.Value, fill.Id);
    }

    /// <summary>Sets the stock of the named size to what was seen.</summary>
    public static void Count(WalkState state, Fact count)
    {
        var product = state.Products[count.ProductId!];
        var stock = state.Stocks[product.Family];
        var open = stock.Open?.Product.Id == product.Id ? stock.Open : null;
        var earliest = stock.Sealed.Where(container => container.Product.Id == product.Id).Select(container => container.ExpiresOn)
            .Append(open?.ExpiresOn ?? DayNumber.Never).Min();
        if (count.Volume is { Nanolitres: > 0 } left)
            stock.Open = CountOpen(state, stock, product, count, open, left.Nanolitres);
        else if (open is not null)
            stock.Open = null;
        CountSealed(state, stock, product, count, earliest);
        stock.LastCounts[product.Id] = state.Day;
        stock.PastDates.Clear();
        state.Journal?.Add(state.Day, WalkLineKind.Counted, product.Id, count.Containers!.Value, stock.Open?.Left ?? 0, count.Id);
    }

    /// <summary>Throws away every container whose last day of use is over.</summary>
    public static void PassDates(WalkState state)
    {
        foreach (var stock in state.Stocks.Values)
        {
            if (stock.Open is OpenContainer open && open.LastOn < state.Day)
            {
                var isExpiry = open.ExpiresOn <= open.InUseLastOn;
                stock.PastDates.Add(new PastDate(state.Day, open.Left, isExpiry));
                state.DiscardOpen(stock, isExpiry ? ClosedBy.BeyondUse : ClosedBy.InUseLimit);
            }

            while (stock.Sealed.Count > 0 && stock.Sealed[0].ExpiresOn < state.Day)
            {
                var container = stock.Take(0);
                var held = container.Product.Kind == ProductKind.PrefilledSyringe ? long.MaxValue : container.Volume;
                stock.PastDates.Add(new PastDate(state.Day, held, IsExpiry: true));
                state.Discard(container.Product, container.Volume, ClosedBy.SealedBeyondUse);
            }
        }
    }

    /// <summary>Opens the container of the named size that the walk would open.</summary>
    /// <param name="state">The walk.</param>
    /// <param name="opening">The fact.</param>
    /// <param name="nextNeeded">What the first injection of the next dose of this family takes; null: no such dose comes next.</param>
    public static void Open(WalkState state, Fact opening, long? nextNeeded)
    {
        var product = state.Products[opening.ProductId!];
        var stock = state.Stocks[product.Family];
        var place = stock.FindFirst(product.Id);
        if (place < 0)
        {
            state.Findings.Add(new Finding(FindingCode.OpenedWithoutStock, $"{opening.Id}: a container of {product.Id} was opened on {DateText.Full(opening.On)}, and the record has none sealed. Please count."));
            return;
        }

        if (stock.Open is OpenContainer open && nextNeeded is long needed && open.Left >= needed)
            state.Findings.Add(new Finding(FindingCode.OpeningDisagrees, $"{opening.Id}: a container of {product.Id} was opened on {DateText.Full(opening.On)}, while the open one should still hold {new Volume(open.Left)} mL, enough for the next dose. Please count."));
        state.DiscardOpen(stock, ClosedBy.OtherOpened, opening.Id);
        state.Open(stock, place, opening.Id);
    }

    /// <summary>Takes away what was thrown away: the open container, a number of sealed ones, or a lot.</summary>
    public static void Discard(WalkState state, Fact fact)
    {
        var stocks = fact.ProductId is string id ? [state.Stocks[state.Products[id].Family]] : state.Stocks.Values.ToArray();
        foreach (var stock in stocks)
        {
            if (fact.Lot is not null)
                DiscardLot(state, stock, fact);
            else if (fact.Containers is int wanted)
                DiscardSealed(state, stock, fact, wanted);
            else if (stock.Open?.Product.Id == fact.ProductId)
                state.DiscardOpen(stock, ClosedBy.Record, fact.Id);
        }
    }

    private static void DiscardLot(WalkState state, Stock stock, Fact fact)
    {
        bool IsMeant(Product product, string? lot) => lot == fact.Lot && (fact.ProductId is null || product.Id == fact.ProductId);
        if (stock.Open is OpenContainer open && IsMeant(open.Product, open.Lot))
            state.DiscardOpen(stock, ClosedBy.Record, $"{fact.Id}, lot {fact.Lot}");
        for (var place = stock.Sealed.Count - 1; place >= 0; place--)
        {
            if (!IsMeant(stock.Sealed[place].Product, stock.Sealed[place].Lot))
                continue;
            var container = stock.Take(place);
            state.Discard(container.Product, container.Volume, ClosedBy.Record, $"{fact.Id}, lot {fact.Lot}");
        }
    }

    private static void DiscardSealed(WalkState state, Stock stock, Fact fact, int wanted)
    {
        for (; wanted > 0 && stock.FindFirst(fact.ProductId!) is >= 0 and var place; wanted--)
        {
            var container = stock.Take(place);
            state.Discard(container.Product, container.Volume, ClosedBy.Record, fact.Id);
        }
    }

    // The open container as counted; null: nobody knows since when, so it is thrown away at once.
    private static OpenContainer? CountOpen(WalkState state, Stock stock, Product product, Fact count, OpenContainer? known, long left)
    {
        if (known is not null)
            return known with { Left = left, OpenedOn = count.OpenedOn is { } given ? DayNumber.Of(given) : known.OpenedOn };

        var place = stock.FindFirst(product.Id);
        var source = place < 0 ? null : stock.Take(place);
        var assumed = FindOpenedOn(state, stock, product, count);
        if (assumed is int openedOn)
            return new OpenContainer(product, source?.ExpiresOn ?? DayNumber.Never, source?.Lot, openedOn, left);
        state.Discard(product, left, ClosedBy.OpeningUnknown, count.Id);
        return null;
    }

    private static int? FindOpenedOn(WalkState state, Stock stock, Product product, Fact count)
    {
        if (count.OpenedOn is { } given)
            return DayNumber.Of(given);

        int? lastCount = stock.LastCounts.TryGetValue(product.Id, out var day) ? day : null;
        int? arrival = null;
        foreach (var (productId, on) in stock.Arrivals)
        {
            if (productId == product.Id && (lastCount is null || on > lastCount) && (arrival is null || on < arrival))
                arrival = on;
        }

        var assumed = arrival ?? lastCount + 1;
        state.Findings.Add(new Finding(FindingCode.OpeningDateUnknown, assumed is int from
            ? $"{count.Id}: an open container of {product.Id} was counted that the record did not have; nobody knows since when it is open. Opened on {DateText.Full(DayNumber.Date(from))} is assumed. Discard it, unless its opening date is written on it."
            : $"{count.Id}: an open container of {product.Id} was counted, and nothing tells since when it is open. Discard it."));
        return assumed;
    }

    private static void CountSealed(WalkState state, Stock stock, Product product, Fact count, int earliest)
    {
        var known = stock.Sealed.Count(container => container.Product.Id == product.Id);
        var counted = count.Containers!.Value;
        if (counted > known)
        {
            state.Findings.Add(new Finding(FindingCode.CountExceedsRecord, $"{count.Id}: {counted} sealed containers of {product.Id} counted on {DateText.Full(count.On)}, {known} on record. The rest is taken to expire with the earliest on record."));
            for (var number = 1; number <= counted - known; number++)
                stock.Add(new SealedContainer(product, earliest, Lot: null, state.Day, count.Id, number));
        }
        else if (counted < known)
        {
            state.Findings.Add(new Finding(FindingCode.CountBelowRecord, $"{count.Id}: {counted} sealed containers of {product.Id} counted on {DateText.Full(count.On)}, {known} on record."));
            for (; known > counted; known--)
                stock.Take(stock.FindFirst(product.Id));
        }
    }
}
