using System;
using System.Globalization;
using System.Linq;

namespace RefillPlanner.Service.Tests.Looks;

/// <summary>Contrast as WCAG 2.2 defines it: relative luminance, and the ratio of two (glossary; criteria 1.4.3 and 1.4.11).</summary>
internal static class Contrast
{
    /// <summary>Least ratio of text to its ground: 1.4.3.</summary>
    public const double OfText = 4.5;

    /// <summary>Least ratio of lines and shapes that say something to their ground: 1.4.11.</summary>
    public const double OfShapes = 3;

    /// <summary>(L1 + 0.05) / (L2 + 0.05), the lighter one above: 1 to 21.</summary>
    /// <param name="one">A colour as <c>#rrggbb</c>.</param>
    /// <param name="other">Another.</param>
    public static double Ratio(string one, string other)
    {
        var (first, second) = (Luminance(one), Luminance(other));
        return (Math.Max(first, second) + 0.05) / (Math.Min(first, second) + 0.05);
    }

    /// <summary>How far the channels of a colour lie apart, 0 to 255: a grey has little, a colour that is seen as one has much.</summary>
    public static int Spread(string colour) => Channels(colour).Max() - Channels(colour).Min();

    // 0.2126 R + 0.7152 G + 0.0722 B of linear channels.
    private static double Luminance(string colour)
    {
        var linear = Channels(colour).Select(channel => channel / 255.0).Select(part => part <= 0.04045 ? part / 12.92 : Math.Pow((part + 0.055) / 1.055, 2.4)).ToArray();
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
    }

    private static int[] Channels(string colour) => colour is ['#', ..] && colour.Length == 7
        ? [.. Enumerable.Range(0, 3).Select(channel => int.Parse(colour.AsSpan(1 + 2 * channel, 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture))]
        : throw new FormatException($"\"{colour}\" is no colour written as #rrggbb.");
}
