using System;

namespace RefillPlanner.Core.Ledger;

/// <summary>An exact volume, counted in nanolitres (0.000001 mL, the finest that a roster may state).</summary>
/// <param name="Nanolitres">Nanolitres; never negative in a ledger.</param>
/// <example><c>Volume.FromMl(1.5m).Nanolitres</c> is 1,500,000.</example>
public readonly record struct Volume(long Nanolitres) : IComparable<Volume>
{
    /// <summary>How many nanolitres make one millilitre.</summary>
    public const long PerMl = 1_000_000;

    /// <summary>The largest volume accepted: 10,000 mL.</summary>
    public static readonly Volume Largest = new(10_000 * PerMl);

    /// <summary>Nothing.</summary>
    public static readonly Volume Zero;

    /// <summary>The volume in millilitres, exactly.</summary>
    public decimal Ml => Nanolitres / (decimal)PerMl;

    /// <summary>The exact volume of a decimal number of millilitres.</summary>
    /// <param name="ml">At most 6 decimals, between 0 and 10,000.</param>
    /// <exception cref="ArgumentOutOfRangeException">More decimals than a nanolitre, negative, or too large.</exception>
    public static Volume FromMl(decimal ml)
    {
        var scaled = Exact.Scale(ml, PerMl);
        return scaled is long nanolitres && nanolitres >= 0 && nanolitres <= Largest.Nanolitres
            ? new Volume(nanolitres)
            : throw new ArgumentOutOfRangeException(nameof(ml), ml, "A volume has at most 6 decimals and lies between 0 and 10,000 mL.");
    }

    /// <inheritdoc/>
    public int CompareTo(Volume other) => Nanolitres.CompareTo(other.Nanolitres);

    /// <summary>Plain decimal of millilitres without trailing zeros, such as <c>0.2</c>. Not for people: see the dose formatter.</summary>
    public override string ToString() => Exact.Plain(Ml);

    /// <summary>The sum of two volumes.</summary>
    public static Volume operator +(Volume left, Volume right) => new(checked(left.Nanolitres + right.Nanolitres));

    /// <summary>The difference of two volumes.</summary>
    public static Volume operator -(Volume left, Volume right) => new(checked(left.Nanolitres - right.Nanolitres));

    /// <summary>Compares two volumes.</summary>
    public static bool operator <(Volume left, Volume right) => left.Nanolitres < right.Nanolitres;

    /// <summary>Compares two volumes.</summary>
    public static bool operator >(Volume left, Volume right) => left.Nanolitres > right.Nanolitres;

    /// <summary>Compares two volumes.</summary>
    public static bool operator <=(Volume left, Volume right) => left.Nanolitres <= right.Nanolitres;

    /// <summary>Compares two volumes.</summary>
    public static bool operator >=(Volume left, Volume right) => left.Nanolitres >= right.Nanolitres;
}
