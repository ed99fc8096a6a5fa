using System;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Pictures;

/// <summary>The scale on which a barrel is drawn: the same barrel always has the same one, so that two of them may stand beside each other.</summary>
/// <param name="barrel">The barrel.</param>
public sealed class BarrelScale(Barrel barrel)
{
    /// <summary>The most lines that are drawn; a barrel with more has no picture.</summary>
    public const int MostLines = 400;

    // 4 pixels from line to line at least, and no barrel shorter than 360 pixels.
    private const int LeastLine = 400;
    private const int LeastLength = 36_000;

    /// <summary>From the line at zero to the last line, in hundredths of a pixel.</summary>
    public int Length { get; } = int.Max(LeastLength, (int)long.Min(barrel.Lines, MostLines) * LeastLine);

    /// <summary>Whether the barrel can be drawn so that its lines are told apart.</summary>
    public static bool Fits(Barrel barrel) => barrel.Lines is > 0 and <= MostLines;

    /// <summary>How far below the line at zero a volume stands, to the nearest hundredth of a pixel.</summary>
    /// <param name="volume">From zero to the capacity; what lies outside stands at the nearer end.</param>
    public int Below(Volume volume)
    {
        var inside = long.Clamp(volume.Nanolitres, 0, barrel.Capacity.Nanolitres);
        return (int)Exact.NearestQuotientTieDown((Int128)inside * Length, barrel.Capacity.Nanolitres);
    }
}
