using System;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

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

    /// <summary>What the open container holds, in nanolitres; 0: none is open.</summary>
    public long OpenLeft => _open.Left;

    /// <summary>How many of <see cref="WalkState.Passed"/> came before the last arrival or count of the family.</summary>
    public int PassedBefore { get; set; }

    /// <summary>First day on which a container is past its last day of use; <see cref="DayNumber.Never"/> if none ever is.</summary>
    public int NextPastDate { get; private set; } = DayNumber.Never;

    /// <summary>Whether any container has something in it.</summary>
    public bool HasAny => _count > 0 || _open.Left > 0;

    /// <summary>The sealed containers of the fill at a place, in the order of taking.</summary>
    public ref readonly SealedContainers this[int place] => ref _sealed[place];

    /// <summary>Empties it for another walk.</summary>
    public void Clear()
    {
        _count = 0;
        HasOpen = false;
        _open.Left = 0;
        NextPastDate = DayNumber.Never;
        PassedBefore = 0;
    }

    /// <summary>All that is in the containers, in nanolitres.</summary>
    public long Volume(ProductShelf shelf)
    {
        var volume = _open.Left;
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
    public void Add(SealedContainers containers, ReadOnlySpan<WalkEvent> events)
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
        var taken = _sealed[place];
        taken.Count = count;
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

    /// <summary>The place of the fill to be taken from next of which a fresh container could serve; -1: none.</summary>
    /// <param name="needed">What an injection takes, in nanolitres.</param>
    public int FindServing(long needed)
    {
        for (var place = 0; place < _count; place++)
        {
            if (_sealed[place].Fresh >= needed)
                return place;
        }

        return -1;
    }

    /// <summary>Opens one of the sealed containers at a place.</summary>
    /// <param name="place">The place.</param>
    /// <param name="inUseLastOn">Its last day of use by the in-use limit.</param>
    /// <param name="day">The day.</param>
    public void OpenSealed(int place, int inUseLastOn, int day)
    {
        ref readonly var container = ref _sealed[place];
        _open = new OpenContainer(container.Product, container.ExpiresOn, inUseLastOn, container.Source, day, container.Fresh);
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
        _open.Left = 0;
        SetNextPastDate();
    }

    /// <summary>Takes a volume out of the open container, which holds as much.</summary>
    public void Draw(long needed) => _open.Left -= needed;

    /// <summary>Makes it equal to another stock in everything.</summary>
    public void CopyAll(Stock other)
    {
        CopyFrom(other);
        PassedBefore = other.PassedBefore;
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
        container.Count -= count;
        if (container.Count > 0)
            return;
        _count--;
        for (var next = place; next < _count; next++)
            _sealed[next] = _sealed[next + 1];
    }

    private static bool IsTakenBefore(SealedContainers one, SealedContainers other, ReadOnlySpan<WalkEvent> events)
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
