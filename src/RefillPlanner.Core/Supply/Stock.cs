using System;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>A container thrown away past its last day of use.</summary>
/// <param name="On">The day.</param>
/// <param name="Left">What it still held, in nanolitres; a prefilled syringe holds its dose.</param>
/// <param name="IsExpiry">Whether the beyond-use date ended it, rather than the in-use limit.</param>
internal readonly record struct PastDate(int On, long Left, bool IsExpiry);

/// <summary>
/// The patient's stock of one family: sealed containers in the order of taking, and at most one open one. Kept from walk to walk, so
/// that nothing is allocated: see <see cref="Clear"/>.
/// </summary>
internal sealed class Stock
{
    private SealedContainers[] _sealed = new SealedContainers[4];
    private OpenContainer _open;
    private int _count;

    /// <summary>How many fills with sealed containers there are.</summary>
    public int FillCount => _count;

    /// <summary>Whether a container is open.</summary>
    public bool HasOpen { get; private set; }

    /// <summary>The open container; only where <see cref="HasOpen"/>.</summary>
    public ref readonly OpenContainer Open => ref _open;

    /// <summary>Containers thrown away past their date since the last arrival or count.</summary>
    public List<PastDate> PastDates { get; } = [];

    /// <summary>Days on which containers of each size arrived.</summary>
    public List<(int Product, int On)> Arrivals { get; } = [];

    /// <summary>First day on which a container is past its last day of use; <see cref="DayNumber.Never"/> if none ever is.</summary>
    public int NextPastDate { get; private set; } = DayNumber.Never;

    /// <summary>Whether any container has something in it.</summary>
    public bool HasAny => _count > 0 || (HasOpen && _open.Left > 0);

    /// <summary>The sealed containers of the fill at a place, in the order of taking.</summary>
    public ref readonly SealedContainers this[int place] => ref _sealed[place];

    /// <summary>Empties it for another walk.</summary>
    public void Clear()
    {
        _count = 0;
        HasOpen = false;
        NextPastDate = DayNumber.Never;
        PastDates.Clear();
        Arrivals.Clear();
    }

    /// <summary>All that is in the containers, in nanolitres.</summary>
    public long Volume(ProductShelf shelf)
    {
        var volume = HasOpen ? _open.Left : 0;
        for (var place = 0; place < _count; place++)
            volume += _sealed[place].Count * shelf[_sealed[place].Product].Volume;
        return volume;
    }

    /// <summary>How many sealed containers of a size there are.</summary>
    public int CountSealed(int product)
    {
        var count = 0;
        for (var place = 0; place < _count; place++)
        {
            if (_sealed[place].Product == product)
                count += _sealed[place].Count;
        }

        return count;
    }

    /// <summary>Adds sealed containers in their place; of equal ones the earlier added comes first.</summary>
    public void Add(in SealedContainers containers)
    {
        if (_count == _sealed.Length)
            Array.Resize(ref _sealed, 2 * _count);
        var place = _count++;
        for (; place > 0 && SealedContainers.CompareTaking(containers, _sealed[place - 1]) < 0; place--)
            _sealed[place] = _sealed[place - 1];
        _sealed[place] = containers;
        SetNextPastDate();
    }

    /// <summary>Removes containers of the fill at a place and returns them.</summary>
    /// <param name="place">The place.</param>
    /// <param name="count">How many: 1 through all of that fill.</param>
    public SealedContainers Take(int place, int count)
    {
        var taken = _sealed[place] with { Count = count };
        var left = _sealed[place].Count - count;
        if (left > 0)
        {
            _sealed[place] = _sealed[place] with { Count = left };
            return taken;
        }

        _count--;
        for (var next = place; next < _count; next++)
            _sealed[next] = _sealed[next + 1];
        SetNextPastDate();
        return taken;
    }

    /// <summary>The place of the first fill with sealed containers of a size; -1: none.</summary>
    public int FindFirst(int product)
    {
        for (var place = 0; place < _count; place++)
        {
            if (_sealed[place].Product == product)
                return place;
        }

        return -1;
    }

    /// <summary>Opens a container.</summary>
    public void SetOpen(in OpenContainer open)
    {
        _open = open;
        HasOpen = true;
        SetNextPastDate();
    }

    /// <summary>Leaves none open.</summary>
    public void ClearOpen()
    {
        HasOpen = false;
        SetNextPastDate();
    }

    /// <summary>Takes a volume out of the open container, which holds as much.</summary>
    public void Draw(long needed) => _open = _open with { Left = _open.Left - needed };

    /// <summary>Makes it equal to another stock in everything.</summary>
    public void CopyAll(Stock other)
    {
        CopyFrom(other);
        PastDates.Clear();
        PastDates.AddRange(other.PastDates);
        Arrivals.Clear();
        Arrivals.AddRange(other.Arrivals);
    }

    /// <summary>Makes it equal to another stock in what a dose may change.</summary>
    public void CopyFrom(Stock other)
    {
        if (_sealed.Length < other._count)
            _sealed = new SealedContainers[other._sealed.Length];
        Array.Copy(other._sealed, _sealed, other._count);
        _count = other._count;
        _open = other._open;
        HasOpen = other.HasOpen;
        NextPastDate = other.NextPastDate;
    }

    private void SetNextPastDate()
    {
        var last = int.Min(HasOpen ? _open.LastOn : DayNumber.Never, _count > 0 ? _sealed[0].ExpiresOn : DayNumber.Never);
        NextPastDate = last == DayNumber.Never ? DayNumber.Never : last + 1;
    }
}
