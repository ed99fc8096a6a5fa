namespace RefillPlanner.Core.Supply;

/// <summary>What the walk adds up, in nanolitres and counts.</summary>
internal record struct Tally
{
    private int _lastCoveredOn;

    /// <summary>Drawn for doses.</summary>
    public long Used { get; private set; }

    /// <summary>Left in the needle or pushed out.</summary>
    public long Lost { get; private set; }

    /// <summary>Thrown away.</summary>
    public long Discarded { get; private set; }

    /// <summary>Containers opened.</summary>
    public int Opened { get; private set; }

    /// <summary>Doses covered.</summary>
    public int Doses { get; private set; }

    /// <summary>Day of the last covered dose; null: none.</summary>
    public readonly int? LastCoveredOn => Doses > 0 ? _lastCoveredOn : null;

    /// <summary>Adds what was drawn for doses and what was lost with it.</summary>
    public void Draw(long used, long lost)
    {
        Used += used;
        Lost += lost;
    }

    /// <summary>Adds doses covered, the last of them on a day.</summary>
    public void Cover(int doses, int lastDay)
    {
        Doses += doses;
        _lastCoveredOn = lastDay;
    }

    /// <summary>Adds containers opened, and what was pushed out of all of them.</summary>
    public void Open(int containers, long primed)
    {
        Opened += containers;
        Lost += primed;
    }

    /// <summary>Adds what was thrown away.</summary>
    public void Discard(long volume) => Discarded += volume;
}
