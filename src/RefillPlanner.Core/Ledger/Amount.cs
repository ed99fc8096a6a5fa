using System;
using System.Globalization;

namespace RefillPlanner.Core.Ledger;

/// <summary>
/// An exact amount of drug, counted in billionths of its unit (mg, mcg or units). Which unit it is stands beside it, in the
/// <see cref="Product"/>; amounts of different units are never added.
/// </summary>
/// <param name="Billionths">Billionths of the unit. Inputs have at most 6 decimals; three more are room for mcg written as mg.</param>
/// <example><c>Amount.From(0.25m)</c> is 0.25 mg for a product in mg; <c>.Billionths</c> is 250,000,000.</example>
public readonly record struct Amount(long Billionths) : IComparable<Amount>
{
    /// <summary>How many billionths make one unit.</summary>
    public const long PerUnit = 1_000_000_000;

    /// <summary>The largest amount accepted: 1,000,000 units of the drug's unit.</summary>
    public static readonly Amount Largest = new(1_000_000 * PerUnit);

    /// <summary>Nothing.</summary>
    public static readonly Amount Zero;

    /// <summary>The amount as a decimal number of units, exactly.</summary>
    public decimal Value => Billionths / (decimal)PerUnit;

    /// <summary>The exact amount of a decimal number of units.</summary>
    /// <param name="value">At most nine decimals and at most <see cref="Largest"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">More decimals than can be held exactly, or too large.</exception>
    public static Amount From(decimal value)
    {
        var scaled = Exact.Scale(value, PerUnit);
        return scaled is long billionths && billionths >= 0 && billionths <= Largest.Billionths
            ? new Amount(billionths)
            : throw new ArgumentOutOfRangeException(nameof(value), value, "An amount has at most 9 decimals and lies between 0 and 1,000,000.");
    }

    /// <inheritdoc/>
    public int CompareTo(Amount other) => Billionths.CompareTo(other.Billionths);

    /// <summary>Plain decimal without trailing zeros, such as <c>0.25</c>. Not for people: see the dose formatter.</summary>
    public override string ToString() => Exact.Plain(Value);

    /// <summary>The sum of two amounts of one unit.</summary>
    public static Amount operator +(Amount left, Amount right) => new(checked(left.Billionths + right.Billionths));

    /// <summary>Compares two amounts of one unit.</summary>
    public static bool operator <(Amount left, Amount right) => left.Billionths < right.Billionths;

    /// <summary>Compares two amounts of one unit.</summary>
    public static bool operator >(Amount left, Amount right) => left.Billionths > right.Billionths;

    /// <summary>Compares two amounts of one unit.</summary>
    public static bool operator <=(Amount left, Amount right) => left.Billionths <= right.Billionths;

    /// <summary>Compares two amounts of one unit.</summary>
    public static bool operator >=(Amount left, Amount right) => left.Billionths >= right.Billionths;
}
