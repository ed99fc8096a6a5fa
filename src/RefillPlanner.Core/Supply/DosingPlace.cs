using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Where a walk stands among the dosing days: the next of them, and the rest of its stretch.</summary>
internal struct DosingPlace
{
    private readonly WalkStretch[] _stretches;
    private int _index = -1;

    /// <summary>The first of the dosing days.</summary>
    public DosingPlace(WalkStretch[] stretches)
    {
        _stretches = stretches;
        GoToNextStretch();
    }

    /// <summary>The next dosing day; <see cref="DayNumber.Never"/>: there is none.</summary>
    public int Day { get; private set; }

    /// <summary>How many dosing days are left in the stretch, with this one.</summary>
    public int Count { get; private set; }

    /// <summary>The stretch that it belongs to; only where there is one.</summary>
    public readonly ref readonly WalkStretch Stretch => ref _stretches[_index];

    /// <summary>Goes on by dosing days of the stretch, at most to the first of the next one.</summary>
    public void Advance(int days)
    {
        Count -= days;
        if (Count == 0)
            GoToNextStretch();
        else
            Day += days * Stretch.EveryDays;
    }

    private void GoToNextStretch()
    {
        _index++;
        (Day, Count) = _index < _stretches.Length ? (_stretches[_index].FirstDay, _stretches[_index].Count) : (DayNumber.Never, 0);
    }
}
