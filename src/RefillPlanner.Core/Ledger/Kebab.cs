using System;
using System.Collections.Generic;
using System.Diagnostics.CodeAnalysis;
using System.Linq;
using System.Text;

namespace RefillPlanner.Core.Ledger;

/// <summary>The written names of enum members: lower case, words joined by hyphens, as all formats of this program have them.</summary>
/// <example><c>Kebab.Of(ProductKind.MultiDoseVial)</c> is <c>multi-dose-vial</c>; <c>OpeningDayIsDay1</c> is <c>opening-day-is-day-1</c>.</example>
public static class Kebab
{
    /// <summary>The written name of a member.</summary>
    public static string Of<T>(T value)
        where T : struct, Enum => Names<T>.Written[value];

    /// <summary>The member with a written name; false when there is none. Case counts.</summary>
    public static bool TryParse<T>(string text, [NotNullWhen(true)] out T? value)
        where T : struct, Enum
    {
        value = Names<T>.Members.TryGetValue(text, out var member) ? member : null;
        return value is not null;
    }

    /// <summary>All written names of an enum, in its order.</summary>
    public static IReadOnlyList<string> List<T>()
        where T : struct, Enum => Names<T>.InOrder;

    private static string Write(string member)
    {
        var written = new StringBuilder();
        foreach (var letter in member)
        {
            var begins = char.IsAsciiLetterUpper(letter) || char.IsAsciiDigit(letter);
            if (begins && written.Length > 0)
                written.Append('-');
            written.Append(char.ToLowerInvariant(letter));
        }

        return written.ToString();
    }

    private static class Names<T>
        where T : struct, Enum
    {
        public static readonly Dictionary<T, string> Written = Enum.GetValues<T>().ToDictionary(value => value, value => Write(value.ToString()));

        public static readonly Dictionary<string, T> Members = Written.ToDictionary(pair => pair.Value, pair => pair.Key, StringComparer.Ordinal);

        public static readonly IReadOnlyList<string> InOrder = [.. Enum.GetValues<T>().Select(value => Written[value])];
    }
}
