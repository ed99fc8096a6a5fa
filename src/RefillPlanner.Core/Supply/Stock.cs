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
        if (PastDates.Count > 0)
            PastDates.Clear();
        if (Arrivals.Count > 0)
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

    /// <summary>
    /// Adds sealed containers in the order in which the walk takes them: soonest expiry (none last), earlier arrival, id of the fact that
    /// brought them; within one fill by number, which nothing can tell apart. What is planned comes after what is on record.
    /// </summary>
    public void Add(in SealedContainers containers, ReadOnlySpan<WalkEvent> events)
    {
        if (_count == _sealed.Length)
            Array.Resize(ref _sealed, 2 * _count);
        var place = _count++;
        for (; place > 0 && IsTakenBefore(containers, _sealed[place - 1], events); place--)
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
        Remove(place, count);
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

    /// <summary>Opens one of the sealed containers at a place.</summary>
    /// <param name="place">The place.</param>
    /// <param name="inUseLastOn">Its last day of use by the in-use limit.</param>
    /// <param name="day">The day.</param>
    /// <param name="left">What it holds then, in nanolitres.</param>
    public void OpenSealed(int place, int inUseLastOn, int day, long left)
    {
        ref readonly var container = ref _sealed[place];
        _open = new OpenContainer(container.Product, container.ExpiresOn, inUseLastOn, container.Source, day, left);
        HasOpen = true;
        Remove(place, 1);
        SetNextPastDate();
    }

    /// <summary>Leaves the open container as counted.</summary>
    public void SetOpen(OpenContainer open)
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
    public void Draw(long needed) => _open.Left -= needed;

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

    private void Remove(int place, int count)
    {
        ref var container = ref _sealed[place];
        if (container.Count > count)
        {
            container = container with { Count = container.Count - count };
            return;
        }

        _count--;
        for (var next = place; next < _count; next++)
            _sealed[next] = _sealed[next + 1];
    }

    private static bool IsTakenBefore(in SealedContainers one, in SealedContainers other, ReadOnlySpan<WalkEvent> events)
    {
        if (one.ExpiresOn != other.ExpiresOn)
            return one.ExpiresOn < other.ExpiresOn;
        if (one.ArrivedOn != other.ArrivedOn)
            return one.ArrivedOn < other.ArrivedOn;
        return one.Source < events.Length && (other.Source >= events.Length || string.CompareOrdinal(events[one.Source].Fact.Id, events[other.Source].Fact.Id) < 0);
    }

    private void SetNextPastDate()
    {
        var last = int.Min(HasOpen ? _open.LastOn : DayNumber.Never, _count > 0 ? _sealed[0].ExpiresOn : DayNumber.Never);
        NextPastDate = last == DayNumber.Never ? DayNumber.Never : last + 1;
    }
}
