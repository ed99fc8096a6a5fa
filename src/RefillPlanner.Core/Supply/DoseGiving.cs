using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Gives one dose out of the patient's stock, or leaves everything as it was (supply model, section 4).</summary>
internal static class DoseGiving
{
    /// <summary>Gives a dose on the state's day.</summary>
    /// <returns>Whether every injection of it was covered; when not, the stock and all figures are as before.</returns>
    public static bool Give(WalkState state, StepDemand step, DoseDemand dose, bool splitDraws)
    {
        var stock = state.Stocks[step.Product.Family];
        if (dose.Needed.Count == 1 && stock.Open is OpenContainer open && open.Left >= dose.Needed[0])
        {
            Draw(state, stock, dose.Needed[0], dose.Marks[0]);
            Finish(state, step, stock);
            return true;
        }

        var saved = (State: state.Save(), Stock: stock.Save(), state.Injections);
        for (var injection = 0; injection < dose.Needed.Count; injection++)
        {
            if (Inject(state, step.Product, stock, dose.Needed[injection], dose.Marks[injection], splitDraws))
                continue;
            state.Restore(saved.State);
            stock.Restore(saved.Stock);
            state.Injections = saved.Injections;
            return false;
        }

        Finish(state, step, stock);
        return true;
    }

    private static bool Inject(WalkState state, Product product, Stock stock, long needed, long mark, bool splitDraws) => product.Kind switch
    {
        ProductKind.PrefilledSyringe => InjectPrefilled(state, stock),
        ProductKind.Pen when splitDraws => InjectSplitPen(state, stock, mark, needed - mark),
        _ when splitDraws => InjectSplitVial(state, stock, needed, mark),
        _ => InjectWhole(state, stock, needed, mark),
    };

    private static bool InjectPrefilled(WalkState state, Stock stock)
    {
        if (stock.Sealed.Count == 0)
            return false;
        state.Open(stock, 0, "used by its dose");
        state.Injections++;
        return true;
    }

    private static bool InjectWhole(WalkState state, Stock stock, long needed, long mark)
    {
        if (stock.Open is not OpenContainer open || open.Left < needed)
        {
            var place = FindServing(stock, needed);
            if (place < 0)
                return false;
            state.DiscardOpen(stock, ClosedBy.NextDose);
            state.Open(stock, place, "for the next dose");
        }

        Draw(state, stock, needed, mark);
        return true;
    }

    // What is left is taken, the rest comes from the next container; what one injection loses is lost once.
    private static bool InjectSplitVial(WalkState state, Stock stock, long needed, long mark)
    {
        var rest = needed;
        while (stock.Open is not OpenContainer open || open.Left < rest)
        {
            rest -= stock.Open?.Left ?? 0;
            if (stock.Sealed.Count == 0)
                return false;
            Empty(state, stock);
            state.Open(stock, 0, "for the rest of a dose");
        }

        stock.Open = stock.Open with { Left = stock.Open.Left - rest };
        AddDrawn(state, stock.Open, mark, needed - mark);
        return true;
    }

    // Each part is an injection of its own, with its own priming.
    private static bool InjectSplitPen(WalkState state, Stock stock, long mark, long prime)
    {
        var rest = mark;
        while (stock.Open is not OpenContainer open || open.Left < rest + prime)
        {
            var part = (stock.Open?.Left ?? 0) - prime;
            if (part > 0)
            {
                rest -= part;
                Draw(state, stock, part + prime, part);
                Empty(state, stock);
            }
            else
            {
                state.DiscardOpen(stock, ClosedBy.NextDose);
            }

            if (stock.Sealed.Count == 0)
                return false;
            state.Open(stock, 0, "for the rest of a dose");
        }

        Draw(state, stock, rest + prime, rest);
        return true;
    }

    // The sealed container to be taken next that a fresh one of its size could serve from; -1: none.
    private static int FindServing(Stock stock, long needed)
    {
        for (var place = 0; place < stock.Sealed.Count; place++)
        {
            var container = stock.Sealed[place];
            if (container.Volume >= needed + container.Product.FirstPrime.Nanolitres)
                return place;
        }

        return -1;
    }

    private static void Draw(WalkState state, Stock stock, long needed, long mark)
    {
        stock.Open = stock.Open! with { Left = stock.Open!.Left - needed };
        AddDrawn(state, stock.Open, mark, needed - mark);
    }

    private static void AddDrawn(WalkState state, OpenContainer open, long used, long lost)
    {
        state.AddDrawn(used, lost);
        state.Injections++;
        state.Journal?.Draw(state.Day, state.Day, open.Product.Id, 0, used, lost, open.Left);
    }

    private static void Empty(WalkState state, Stock stock)
    {
        if (stock.Open is { } open)
            state.Discard(open.Product, 0, ClosedBy.Empty);
        stock.Open = null;
    }

    private static void Finish(WalkState state, StepDemand step, Stock stock)
    {
        state.AddDose();
        state.Journal?.CountDose();
        if (step.Product.Kind == ProductKind.SingleDoseVial)
            state.DiscardOpen(stock, ClosedBy.SingleDose);
    }
}
