using System;
using System.Collections.Generic;
using System.Diagnostics.CodeAnalysis;
using System.Runtime.CompilerServices;
using System.Text;

namespace RefillPlanner.Core.Ledger;

/// <summary>The written names of enum members: lower case, words joined by hyphens, as all formats of this program have them.</summary>
/// <example><c>Kebab.Of(ProductKind.MultiDoseVial)</c> is <c>multi-dose-vial</c>; <c>OpeningDayIsDay1</c> is <c>opening-day-is-day-1</c>.</example>
public static class Kebab
{
    /// <summary>The written name of a member.</summary>
    public static string Of<T>(T value)
        where T : struct, Enum => Names<T>.Written[Unsafe.BitCast<T, int>(value)];

    /// <summary>The member with a written name; false when there is none. Case counts.</summary>
    public static bool TryParse<T>(string text, [NotNullWhen(true)] out T? value)
        where T : struct, Enum
    {
        var number = Array.IndexOf(Names<T>.Written, text);
        value = number < 0 ? null : Unsafe.BitCast<int, T>(number);
        return value is not null;
    }

    /// <summary>All written names of an enum, in its order.</summary>
    public static IReadOnlyList<string> List<T>()
        where T : struct, Enum => Names<T>.Written;

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
        // A member's number is its place. Nothing generic over the enum: the runtime would have to compile it at each start.
        public static readonly string[] Written = Enum.GetValuesAsUnderlyingType(typeof(T)) is int[] numbers && numbers[^1] == numbers.Length - 1
            ? Array.ConvertAll(Enum.GetNames(typeof(T)), Write)
            : throw new InvalidOperationException($"The members of {typeof(T).Name} do not count from zero.");
    }
}
