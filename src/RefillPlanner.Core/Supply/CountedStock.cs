using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What a family has in stock beside a count of one of its sizes.</summary>
/// <param name="Volume">All that is in its containers; prefilled syringes count 0.</param>
/// <param name="Sealed">Sealed containers of the counted size.</param>
/// <param name="HasOtherSize">Whether it has containers of another size, of which the count says nothing.</param>
public sealed record CountedStock(Volume Volume, int Sealed, bool HasOtherSize)
{
    /// <summary>Of a stock, beside a count of a size.</summary>
    internal static CountedStock Of(Stock stock, ProductShelf shelf, int product)
    {
        var hasOther = stock.HasOpen && stock.Open.Product != product;
        for (var place = 0; place < stock.FillCount; place++)
            hasOther |= stock[place].Product != product;
        return new CountedStock(new Volume(stock.Volume(shelf)), stock.CountSealed(product), hasOther);
    }
}
