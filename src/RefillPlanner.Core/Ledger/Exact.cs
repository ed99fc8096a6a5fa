using System;
using System.Globalization;

namespace RefillPlanner.Core.Ledger;

/// <summary>Exact arithmetic on integers and plain decimals: scaling, rounded quotients, plain printing.</summary>
public static class Exact
{
    /// <summary>The value times a scale, or null when that is no whole number or does not fit.</summary>
    /// <example><c>Scale(0.25m, 1_000_000)</c> is 250,000; <c>Scale(0.0000001m, 1_000_000)</c> is null.</example>
    public static long? Scale(decimal value, long scale)
    {
        if (value > long.MaxValue / scale || value < long.MinValue / scale)
            return null;
        var scaled = value * scale;
        return decimal.Truncate(scaled) == scaled ? (long)scaled : null;
    }

    /// <summary>Plain decimal digits without trailing zeros: <c>0.2</c>, never <c>0.20</c>, <c>.2</c> or <c>2E-1</c>.</summary>
    public static string Plain(decimal value) =>
        value == 0 ? "0" : value.ToString("0.############################", CultureInfo.InvariantCulture);

    /// <summary>The smallest whole number not below numerator / denominator.</summary>
    /// <param name="numerator">Not negative.</param>
    /// <param name="denominator">Above zero.</param>
    public static Int128 CeilingQuotient(Int128 numerator, Int128 denominator) => (numerator + denominator - 1) / denominator;

    /// <summary>The whole number nearest to numerator / denominator; a tie goes to the lower one (supply model, section 2).</summary>
    /// <param name="numerator">Not negative.</param>
    /// <param name="denominator">Above zero.</param>
    /// <example>0.125 mL on 0.01 mL graduations: <c>NearestQuotientTieDown(125, 10)</c> is 12.</example>
    public static Int128 NearestQuotientTieDown(Int128 numerator, Int128 denominator)
    {
        var (quotient, rest) = Int128.DivRem(numerator, denominator);
        return 2 * rest > denominator ? quotient + 1 : quotient;
    }

    /// <summary>numerator / denominator rounded half-even to a number of decimals, as machine output wants it.</summary>
    /// <param name="numerator">Any sign.</param>
    /// <param name="denominator">Above zero.</param>
    /// <param name="decimals">0 to 9.</param>
    /// <example><c>HalfEven(1, 3, 6)</c> is 0.333333; <c>HalfEven(-4, 100, 2)</c> is -0.04.</example>
    public static decimal HalfEven(Int128 numerator, Int128 denominator, int decimals)
    {
        Int128 scale = 1;
        for (var i = 0; i < decimals; i++)
            scale *= 10;
        var negative = numerator < 0;
        var (quotient, rest) = Int128.DivRem((negative ? -numerator : numerator) * scale, denominator);
        var twice = 2 * rest;
        if (twice > denominator || (twice == denominator && Int128.IsOddInteger(quotient)))
            quotient++;
        var value = (decimal)quotient / (decimal)scale;
        return negative ? -value : value;
    }
}
