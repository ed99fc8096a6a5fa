using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>A container thrown away past its last day of use.</summary>
/// <param name="On">The day.</param>
/// <param name="Left">What it still held, in nanolitres; a prefilled syringe holds its dose.</param>
/// <param name="IsExpiry">Whether the beyond-use date ended it, rather than the in-use limit.</param>
internal readonly record struct PastDate(int On, long Left, bool IsExpiry);

/// <summary>The patient's stock of one family: sealed containers in the order of taking, and at most one open one.</summary>
internal sealed class Stock
{
    private readonly List<SealedContainer> _sealed = [];

    /// <summary>The sealed containers, next one first.</summary>
    public IReadOnlyList<SealedContainer> Sealed => _sealed;

    /// <summary>The open container; null: none.</summary>
    public OpenContainer? Open { get; set; }

    /// <summary>Containers thrown away past their date since the last arrival or count.</summary>
    public List<PastDate> PastDates { get; } = [];

    /// <summary>Days on which containers of each size arrived.</summary>
    public List<(string ProductId, int On)> Arrivals { get; } = [];

    /// <summary>The day of the last count of each size.</summary>
    public Dictionary<string, int> LastCounts { get; } = [];

    /// <summary>First day on which a container is past its last day of use; <see cref="DayNumber.Never"/> if none ever is.</summary>
    public int NextPastDate
    {
        get
        {
            var last = int.Min(Open?.LastOn ?? DayNumber.Never, _sealed.Count > 0 ? _sealed[0].ExpiresOn : DayNumber.Never);
            return last == DayNumber.Never ? DayNumber.Never : last + 1;
        }
    }

    /// <summary>Whether any container has something in it.</summary>
    public bool HasAny => _sealed.Count > 0 || Open is { Left: > 0 };

    /// <summary>All that is in the containers, in nanolitres.</summary>
    public long Volume
    {
        get
        {
            var volume = Open?.Left ?? 0;
            foreach (var container in _sealed)
                volume += container.Volume;
            return volume;
        }
    }

    /// <summary>Adds a sealed container in its place.</summary>
    public void Add(SealedContainer container)
    {
        var place = _sealed.BinarySearch(container, SealedContainer.TakingOrder);
        _sealed.Insert(place < 0 ? ~place : place, container);
    }

    /// <summary>Removes and returns the sealed container at a place.</summary>
    public SealedContainer Take(int place)
    {
        var container = _sealed[place];
        _sealed.RemoveAt(place);
        return container;
    }

    /// <summary>The place of the first sealed container of a size; -1: none.</summary>
    public int FindFirst(string productId) => _sealed.FindIndex(container => container.Product.Id == productId);

    /// <summary>What must be remembered to take a dose back that could not be given in full.</summary>
    public (OpenContainer? Open, SealedContainer[] Sealed) Save() => (Open, [.. _sealed]);

    /// <summary>Puts the stock back as it was saved.</summary>
    public void Restore((OpenContainer? Open, SealedContainer[] Sealed) saved)
    {
        Open = saved.Open;
        _sealed.Clear();
        _sealed.AddRange(saved.Sealed);
    }
}
