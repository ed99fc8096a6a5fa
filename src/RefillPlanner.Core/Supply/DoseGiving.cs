using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Gives one dose out of the patient's stock, or leaves everything as it was (supply model, section 4).</summary>
internal static class DoseGiving
{
    /// <summary>Gives a dose on the state's day.</summary>
    /// <returns>Whether every injection of it was covered; when not, the stock and all figures are as before.</returns>
    public static bool Give(WalkState state, StepDemand step, DoseDemand dose, bool splitDraws)
    {
        var stock = state.StockOf(step.Family);
        var mayFailHalfWay = dose.Needed.Length > 1 || splitDraws;
        if (mayFailHalfWay)
            state.Save(stock);
        for (var injection = 0; injection < dose.Needed.Length; injection++)
        {
            if (Inject(state, step.Product.Kind, stock, dose.Needed[injection], dose.Marks[injection], splitDraws))
                continue;
            if (mayFailHalfWay)
                state.Restore(stock);
            return false;
        }

        state.AddDoses(1, state.Day);
        state.Journal?.CountDose();
        if (step.Product.Kind == ProductKind.SingleDoseVial)
            state.DiscardOpen(stock, ClosedBy.SingleDose);
        return true;
    }

    /// <summary>
    /// Opens the next container if the next dose would open it, and if that container serves all doses of the day: then whole days can be
    /// counted from it on.
    /// </summary>
    /// <returns>Whether it does, and is open now.</returns>
    public static bool OpenForDays(WalkState state, Stock stock, in WalkStretch step)
    {
        if (stock.OpenLeft >= step.FirstNeeded)
            return false;
        var place = stock.FindServing(step.FirstNeeded);
        if (place < 0 || stock[place].Fresh < step.NeededPerDay)
            return false;
        state.DiscardOpen(stock, ClosedBy.NextDose);
        state.Open(stock, place, "for the next dose");
        return true;
    }

    private static bool Inject(WalkState state, ProductKind kind, Stock stock, long needed, long mark, bool splitDraws) => kind switch
    {
        ProductKind.PrefilledSyringe => InjectPrefilled(state, stock),
        _ when !splitDraws => InjectWhole(state, stock, needed, mark),
        ProductKind.Pen => InjectSplitPen(state, stock, mark, needed - mark),
        _ => InjectSplitVial(state, stock, needed, mark),
    };

    private static bool InjectPrefilled(WalkState state, Stock stock)
    {
        if (stock.FillCount == 0)
            return false;
        state.Open(stock, 0, "used by its dose");
        state.Injections++;
        return true;
    }

    private static bool InjectWhole(WalkState state, Stock stock, long needed, long mark)
    {
        if (!Holds(stock, needed))
        {
            var place = stock.FindServing(needed);
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
        while (!Holds(stock, rest))
        {
            rest -= stock.OpenLeft;
            if (stock.FillCount == 0)
                return false;
            Empty(state, stock);
            state.Open(stock, 0, "for the rest of a dose");
        }

        stock.Draw(rest);
        AddDrawn(state, stock, mark, needed - mark);
        return true;
    }

    // Each part is an injection of its own, with its own priming.
    private static bool InjectSplitPen(WalkState state, Stock stock, long mark, long prime)
    {
        var rest = mark;
        while (!Holds(stock, rest + prime))
        {
            var part = stock.OpenLeft - prime;
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

            if (stock.FillCount == 0)
                return false;
            state.Open(stock, 0, "for the rest of a dose");
        }

        Draw(state, stock, rest + prime, rest);
        return true;
    }

    private static bool Holds(Stock stock, long needed) => stock.HasOpen && stock.OpenLeft >= needed;

    private static void Draw(WalkState state, Stock stock, long needed, long mark)
    {
        stock.Draw(needed);
        AddDrawn(state, stock, mark, needed - mark);
    }

    private static void AddDrawn(WalkState state, Stock stock, long used, long lost)
    {
        state.AddDrawn(used, lost);
        state.Injections++;
        state.Journal?.Draw(state.Day, state.Day, state.Shelf[stock.Open.Product].Product.Id, 0, used, lost, stock.Open.Left);
    }

    private static void Empty(WalkState state, Stock stock)
    {
        if (!stock.HasOpen)
            return;
        state.Discard(stock.Open.Product, 0, 1, ClosedBy.Empty);
        stock.ClearOpen();
    }
}
