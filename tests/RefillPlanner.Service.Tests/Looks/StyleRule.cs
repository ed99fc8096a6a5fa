using System;
using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Service.Tests.Looks;

/// <summary>Where a page is looked at.</summary>
/// <param name="IsDark">The reader asked for dark.</param>
/// <param name="IsPrint">On paper.</param>
/// <param name="Width">Pixels of the window.</param>
internal sealed record Medium(bool IsDark, bool IsPrint = false, int Width = 600);

/// <summary>A rule of a style sheet for one selector. Only the CSS that our pages use is read; anything else throws.</summary>
/// <param name="Media">The conditions around it.</param>
/// <param name="Selector">Its selector: names, classes and <c>:root</c>, one inside the other.</param>
/// <param name="Declarations">What it declares, in order.</param>
internal sealed record StyleRule(IReadOnlyList<string> Media, string Selector, IReadOnlyList<(string Property, string Value)> Declarations)
{
    private string[] Parts => Selector.Split(' ', StringSplitOptions.RemoveEmptyEntries);

    /// <summary>How it stands against others: more classes win, then more names.</summary>
    public (int Classes, int Names) Weight => (Selector.Count(letter => letter is '.' or ':'), Parts.Count(part => part[0] is not ('.' or ':')));

    /// <summary>Reads a style sheet.</summary>
    public static IReadOnlyList<StyleRule> List(string css) => [.. Read(css, [])];

    /// <summary>Whether it counts there.</summary>
    public bool IsIn(Medium medium) => Media.All(condition => condition.Replace(" ", string.Empty, StringComparison.Ordinal) switch
    {
        "(prefers-color-scheme:dark)" => medium.IsDark,
        "screenand(prefers-color-scheme:dark)" => medium.IsDark && !medium.IsPrint,
        "(max-width:480px)" => medium.Width <= 480,
        "print" => medium.IsPrint,
        _ => throw new FormatException($"@media {condition} is not known here."),
    });

    /// <summary>Whether it speaks of an element.</summary>
    public bool IsOf(PageElement element)
    {
        var parts = Parts;
        if (!Is(parts[^1], element))
            return false;
        var around = element.Outwards.Skip(1);
        foreach (var part in parts.Reverse().Skip(1))
        {
            around = around.SkipWhile(outer => !Is(part, outer));
            if (!around.Any())
                return false;
            around = around.Skip(1);
        }

        return true;
    }

    private static bool Is(string part, PageElement element)
    {
        if (part == ":root")
            return element.Name is "html";
        var names = part.Split('.');
        return (names[0].Length == 0 || names[0] == element.Name) && names.Skip(1).All(element.Classes.Contains);
    }

    private static IEnumerable<StyleRule> Read(string css, IReadOnlyList<string> media)
    {
        for (var at = 0; css.IndexOf('{', at) is var open and >= 0;)
        {
            var head = css[at..open].Trim();
            var close = FindClose(css, open);
            var body = css[(open + 1)..close];
            at = close + 1;
            if (head.StartsWith("@media", StringComparison.Ordinal))
            {
                foreach (var rule in Read(body, [.. media, head["@media".Length..].Trim()]))
                    yield return rule;
            }
            else if (!head.StartsWith('@'))
            {
                foreach (var selector in head.Split(','))
                    yield return new StyleRule(media, selector.Trim(), Declare(body));
            }
        }
    }

    private static int FindClose(string css, int open)
    {
        var depth = 0;
        for (var at = open; at < css.Length; at++)
        {
            depth += css[at] switch { '{' => 1, '}' => -1, _ => 0 };
            if (depth == 0)
                return at;
        }

        throw new FormatException("A brace of the style sheet is not closed.");
    }

    private static IReadOnlyList<(string, string)> Declare(string body) =>
        [.. body.Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(declaration => declaration.Split(':', 2)).Select(pair => (pair[0].Trim(), pair[1].Trim()))];
}
