namespace RefillPlanner.Core.Ledger;

/// <summary>In what a barrel's lines are numbered.</summary>
public enum BarrelMarking
{
    /// <summary>Millilitres.</summary>
    Ml,

    /// <summary>Units, as on a U-100 barrel with 100 units per mL.</summary>
    Units,
}

/// <summary>A syringe, with the needle it is used with.</summary>
public sealed record Device
{
    /// <summary>The writer's id of the device.</summary>
    public required string Id { get; init; }

    /// <summary>What people call it.</summary>
    public required string Name { get; init; }

    /// <summary>Largest volume that can be drawn; a whole number of graduations.</summary>
    public required Volume Capacity { get; init; }

    /// <summary>The smallest marked step.</summary>
    public required Volume Graduation { get; init; }

    /// <summary>What the lines are numbered in.</summary>
    public required BarrelMarking MarkedIn { get; init; }

    /// <summary>Units per mL on a barrel marked in units (100 for U-100); null on one marked in mL.</summary>
    public decimal? UnitsPerMl { get; init; }

    /// <summary>What stays in hub and needle after an injection.</summary>
    public Volume DeadSpace { get; init; }

    /// <summary>Sharps left by one injection: 1, or 2 where a separate needle draws up.</summary>
    public int SharpsPerInjection { get; init; } = 1;
}
