using System;
using System.Numerics;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>An exact quotient, for the few places where the literal walk divides.</summary>
internal readonly struct Fraction
{
    public Fraction(BigInteger numerator, BigInteger denominator)
    {
        var divisor = BigInteger.GreatestCommonDivisor(numerator, denominator);
        Numerator = numerator / divisor;
        Denominator = denominator / divisor;
    }

    public BigInteger Numerator { get; }

    /// <summary>Always above zero here.</summary>
    public BigInteger Denominator { get; }

    /// <summary>The exact fraction of a decimal with at most 9 decimals.</summary>
    public static Fraction Of(decimal value) => new(new BigInteger(value * 1_000_000_000m), 1_000_000_000);

    public static Fraction operator *(Fraction left, Fraction right) => new(left.Numerator * right.Numerator, left.Denominator * right.Denominator);

    public static Fraction operator /(Fraction left, Fraction right) => new(left.Numerator * right.Denominator, left.Denominator * right.Numerator);

    public static Fraction operator -(Fraction left, Fraction right) =>
        new((left.Numerator * right.Denominator) - (right.Numerator * left.Denominator), left.Denominator * right.Denominator);

    public bool IsAbove(Fraction other) => Numerator * other.Denominator > other.Numerator * Denominator;

    public bool IsZero => Numerator.IsZero;

    public bool IsWhole => Denominator.IsOne;

    public Fraction Size => new(BigInteger.Abs(Numerator), Denominator);

    /// <summary>Rounded down to a whole number; never negative here.</summary>
    public int Floor => (int)(Numerator / Denominator);

    public int Ceiling => IsWhole ? Floor : Floor + 1;

    /// <summary>The nearest whole number, a tie to the lower one.</summary>
    public int NearestTieDown => (this - new Fraction(Floor, 1)).IsAbove(new Fraction(1, 2)) ? Floor + 1 : Floor;

    public decimal Rounded(int decimals) => Exact.HalfEven((Int128)Numerator, (Int128)Denominator, decimals);
}
