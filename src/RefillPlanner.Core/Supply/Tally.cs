namespace RefillPlanner.Core.Supply;

/// <summary>What the walk adds up, in nanolitres and counts.</summary>
internal record struct Tally
{
    /// <summary>Drawn for doses.</summary>
    public long Used { get; set; }

    /// <summary>Left in the needle or pushed out.</summary>
    public long Lost { get; set; }

    /// <summary>Thrown away.</summary>
    public long Discarded { get; set; }

    /// <summary>Containers opened.</summary>
    public int Opened { get; set; }

    /// <summary>Doses covered.</summary>
    public int Doses { get; set; }

    /// <summary>Day of the last covered dose; null: none.</summary>
    public int? LastCoveredOn { get; set; }
}
