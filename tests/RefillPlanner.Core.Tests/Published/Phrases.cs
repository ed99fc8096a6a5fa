using System;
using System.Collections.Generic;
using System.Linq;
using System.Text.RegularExpressions;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>
/// A small grammar: phrases between commas and semicolons, each of which must match exactly one pattern as a whole. In a pattern
/// <c>{n}</c> is a whole number, <c>{d}</c> a decimal, <c>{date}</c> a date, <c>{unit}</c> units, mg or mcg.
/// </summary>
internal sealed class Phrases<T>
{
    private readonly List<(Regex Pattern, Action<T, string[]> Read)> _patterns = [];

    public Phrases<T> Add(string pattern, Action<T, string[]> read)
    {
        var written = pattern
            .Replace("{n}", "([0-9]+)", StringComparison.Ordinal)
            .Replace("{d}", "(-?[0-9]+(?:[.][0-9]+)?)", StringComparison.Ordinal)
            .Replace("{date}", "([0-9]{4}-[0-9]{2}-[0-9]{2})", StringComparison.Ordinal)
            .Replace("{unit}", "(units?|mg|mcg)", StringComparison.Ordinal);
        _patterns.Add((new Regex($"^(?:{written})$", RegexOptions.CultureInvariant, TimeSpan.FromSeconds(1)), read));
        return this;
    }

    /// <summary>Reads every phrase of a text in order.</summary>
    /// <exception cref="FormatException">A phrase that no pattern, or more than one, matches.</exception>
    public T Read(T into, string text)
    {
        foreach (var phrase in text.Split([", ", "; "], StringSplitOptions.TrimEntries))
        {
            var found = _patterns.Select(pattern => (Match: pattern.Pattern.Match(phrase), pattern.Read)).Where(match => match.Match.Success).ToList();
            if (found.Count != 1)
                throw new FormatException($"\"{phrase}\" is read by {found.Count} patterns, in \"{text}\".");
            found[0].Read(into, [.. found[0].Match.Groups.Values.Skip(1).Select(group => group.Value)]);
        }

        return into;
    }

    /// <summary>What stands before and after the arrow.</summary>
    public static (string Given, string Answer) Split(string ruling)
    {
        var parts = ruling.Split(" -> ");
        return parts.Length == 2 ? (parts[0], parts[1]) : throw new FormatException($"One arrow is wanted in \"{ruling}\".");
    }
}
