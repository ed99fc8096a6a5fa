using System;

namespace RefillPlanner.Core.Ledger;

/// <summary>
/// A number made from what words are built of (names, labels, open days), so that a changed label is noticed without comparing texts:
/// 64-bit FNV-1a. The same text gives the same number on every machine and day.
/// </summary>
/// <param name="Value">The number so far.</param>
internal readonly record struct Stamp(ulong Value)
{
    private const ulong Prime = 0x100000001b3;

    /// <summary>Of nothing.</summary>
    public static readonly Stamp Empty = new(0xcbf29ce484222325);

    /// <summary>With a text.</summary>
    public Stamp With(ReadOnlySpan<char> text)
    {
        var value = Value;
        foreach (var letter in text)
            value = ((value ^ (byte)letter) * Prime ^ (byte)(letter >> 8)) * Prime;
        return new Stamp((value ^ 0xff) * Prime);
    }

    /// <summary>With a number.</summary>
    public Stamp With(long number)
    {
        var value = Value;
        for (var shift = 0; shift < 64; shift += 8)
            value = (value ^ (byte)(number >> shift)) * Prime;
        return new Stamp(value);
    }
}
