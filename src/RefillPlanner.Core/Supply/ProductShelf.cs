using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>One product as the walk needs it: whole numbers, read once.</summary>
/// <param name="product">The product.</param>
/// <param name="family">Place of its family.</param>
internal sealed class ShelfProduct(Product product, int family)
{
    /// <summary>The product.</summary>
    public Product Product { get; } = product;

    /// <summary>Place of its family.</summary>
    public int Family { get; } = family;

    /// <summary>Labelled volume in nanolitres; 0 for a prefilled syringe.</summary>
    public long Volume { get; } = product.Volume?.Nanolitres ?? 0;

    /// <summary>Pushed out once when opened, in nanolitres.</summary>
    public long FirstPrime { get; } = product.FirstPrime.Nanolitres;

    /// <summary>What it holds when it was just opened, in nanolitres.</summary>
    public long Fresh { get; } = (product.Volume?.Nanolitres ?? 0) - product.FirstPrime.Nanolitres;

    /// <summary>Whether it is one dose, opened and used up at once.</summary>
    public bool IsPrefilled { get; } = product.Kind == ProductKind.PrefilledSyringe;

    /// <summary>Days from the day of opening to the last day of use; never: only the beyond-use date limits it.</summary>
    private readonly int _inUse = product.InUseDays is not int limit ? DayNumber.Never
        : product.InUseCount == InUseCount.OpeningDayIsDay1 ? limit - 1
        : limit;

    /// <summary>Last day of use by the in-use limit of a container opened on a day; <see cref="DayNumber.Never"/> without one.</summary>
    public int InUseLastOn(int openedOn) => _inUse == DayNumber.Never ? DayNumber.Never : openedOn + _inUse;
}

/// <summary>
/// The products that the courses with one set of families may have in stock, each at its place, and their families: the walk counts
/// places and compares no ids. Built once for all courses that share the set.
/// </summary>
internal sealed class ProductShelf
{
    private readonly ShelfProduct[] _products;
    private readonly Dictionary<string, int> _families = new(StringComparer.Ordinal);
    private readonly Dictionary<string, int> _places = new(StringComparer.Ordinal);

    /// <summary>A shelf of products.</summary>
    /// <param name="products">All sizes of the families, by id.</param>
    public ProductShelf(IReadOnlyDictionary<string, Product> products)
    {
        _products = new ShelfProduct[products.Count];
        foreach (var (id, product) in products.OrderBy(item => item.Key, StringComparer.Ordinal))
        {
            if (!_families.TryGetValue(product.Family, out var family))
                _families.Add(product.Family, family = _families.Count);
            _products[_places.Count] = new ShelfProduct(product, family);
            _places.Add(id, _places.Count);
        }
    }

    /// <summary>How many products there are.</summary>
    public int Count => _products.Length;

    /// <summary>How many families there are.</summary>
    public int FamilyCount => _families.Count;

    /// <summary>The product at a place.</summary>
    public ShelfProduct this[int place] => _products[place];

    /// <summary>The place of a product.</summary>
    public int PlaceOf(string productId) => _places[productId];

    /// <summary>How many sizes a family has.</summary>
    public int CountSizes(int family)
    {
        var count = 0;
        foreach (var product in _products)
            count += product.Family == family ? 1 : 0;
        return count;
    }

    /// <summary>The largest container of a family.</summary>
    public ShelfProduct Largest(int family)
    {
        ShelfProduct? largest = null;
        foreach (var product in _products)
        {
            if (product.Family == family && (largest is null || product.Volume > largest.Volume))
                largest = product;
        }

        return largest!;
    }
}
