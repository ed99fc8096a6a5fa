using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>The three numbered rules of section 4: taking one dose out of one stock, or leaving the stock as it was.</summary>
internal static class LiteralDose
{
    public static bool Take(LiteralStock stock, Product product, Draw draw, bool splitDraws, LocalDate today)
    {
        var sealedBefore = stock.Sealed.ConvertAll(container => container.Copy());
        var openBefore = stock.Open?.Copy();
        var tallyBefore = stock.Today;
        if (TakeAll(stock, product, draw, splitDraws, today))
        {
            if (product.Kind == ProductKind.SingleDoseVial)
                stock.DiscardOpen();
            return true;
        }

        stock.Sealed = sealedBefore;
        stock.Open = openBefore;
        stock.Today = tallyBefore;
        return false;
    }

    private static bool TakeAll(LiteralStock stock, Product product, Draw draw, bool splitDraws, LocalDate today)
    {
        if (product.Kind == ProductKind.PrefilledSyringe)
        {
            var syringe = stock.ListSealed().FirstOrDefault();
            if (syringe is null)
                return false;
            stock.Sealed.Remove(syringe);
            stock.Today += Tally.Nothing with { Opened = 1 };
            return true;
        }

        for (var i = 0; i < draw.Injections; i++)
        {
            var mark = draw.Marks[i].Ml;
            var beside = draw.Needed[i].Ml - mark;
            var taken = !splitDraws ? TakeWhole(stock, mark, beside, today)
                : product.Kind == ProductKind.Pen ? TakeFromPens(stock, mark, beside, today)
                : TakeFromVials(stock, mark, beside, today);
            if (!taken)
                return false;
        }

        return true;
    }

    private static bool TakeWhole(LiteralStock stock, decimal mark, decimal beside, LocalDate today)
    {
        var needed = mark + beside;
        if (stock.Open is null || stock.Open.Left < needed)
        {
            // A smaller size that cannot serve the dose is passed over.
            var fresh = stock.ListSealed().Find(container => container.Left - LiteralStock.FirstPrimeOf(container.Product) >= needed);
            if (fresh is null)
                return false;
            stock.OpenUp(fresh, today);
        }

        stock.Open!.Left -= needed;
        stock.Today += Tally.Nothing with { Used = mark, Lost = beside };
        return true;
    }

    /// <summary>What is left is taken whole, the rest comes from the next; the needle's loss counts once.</summary>
    private static bool TakeFromVials(LiteralStock stock, decimal mark, decimal beside, LocalDate today)
    {
        var missing = mark + beside;
        while (stock.Open is null || stock.Open.Left < missing)
        {
            missing -= stock.Open?.Left ?? 0;
            if (stock.Open is not null)
                stock.Open.Left = 0;
            if (stock.ListSealed().FirstOrDefault() is not { } fresh)
                return false;
            stock.OpenUp(fresh, today);
        }

        stock.Open.Left -= missing;
        stock.Today += Tally.Nothing with { Used = mark, Lost = beside };
        return true;
    }

    /// <summary>The first part is what is left less its priming; the rest is an injection with its own priming.</summary>
    private static bool TakeFromPens(LiteralStock stock, decimal mark, decimal prime, LocalDate today)
    {
        while (stock.Open is null || stock.Open.Left < mark + prime)
        {
            if (stock.Open is not null && stock.Open.Left > prime)
            {
                var part = stock.Open.Left - prime;
                mark -= part;
                stock.Open.Left = 0;
                stock.Today += Tally.Nothing with { Used = part, Lost = prime };
            }

            if (stock.ListSealed().FirstOrDefault() is not { } fresh)
                return false;
            stock.OpenUp(fresh, today);
        }

        stock.Open.Left -= mark + prime;
        stock.Today += Tally.Nothing with { Used = mark, Lost = prime };
        return true;
    }
}
