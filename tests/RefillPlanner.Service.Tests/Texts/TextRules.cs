using System;
using System.Collections.Generic;
using System.Linq;
using System.Net;
using System.Text.RegularExpressions;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>
/// Ways of writing that are known to be misread, as medication-safety bodies list them (common practice, no single source): a bare decimal point, a
/// trailing zero, one letter for units, a missing space or comma, dates in figures.
/// </summary>
internal static class TextRules
{
    private static readonly (string What, Regex Rule)[] Rules =
    [
        ("a bare decimal point", Rule(@"(?<![0-9A-Za-z])\.[0-9]")),
        ("a trailing zero", Rule(@"(?<![0-9.])[0-9]+\.[0-9]*0(?![0-9.])")),
        ("one letter for units", Rule(@"\b(IU|UI)\b|[0-9] ?U\b|\bU\b(?![-\u2011][0-9])")),
        ("a Greek letter or another sign for micro", Rule(@"[µμ]|\bug\b|\bmcgs\b")),
        ("cc for mL", Rule(@"\bcc\b")),
        ("mL written otherwise", Rule(@"\b(ml|ML|Ml)\b")),
        ("a Latin abbreviation", Rule(@"\b([qQ]\.?[oO]?\.?[dD]|[bBtTqQ]\.?[iI]\.?[dD]|[pP]\.?[rR]\.?[nN]|[hH]\.?[sS]|[sS]\.?[cCqQ]|sub-?q)\b\.?")),
        ("a number that touches its unit", Rule(@"[0-9](mg|mcg|mL|units?|unidad(es)?|days?|días?)\b")),
        ("no comma from 1,000", Rule(@"(?<![0-9A-Za-z,.-])[0-9]{4,}(?= (mg|mcg|mL|units|unidades|days|días|doses|dosis|sharps)\b)")),
        ("a date in figures", Rule(@"(?<![0-9])[0-9]{1,2}/[0-9]{1,2}(?![0-9])|\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b")),
        ("a comma as decimal point", Rule(@"\b[0-9]+,[0-9]{1,2}\b(?!,)")),
    ];

    /// <summary>What is wrong with a text, each with the words around it.</summary>
    public static IReadOnlyList<string> ListFaults(string text) =>
        [.. Rules.SelectMany(rule => rule.Rule.Matches(text).Select(match => $"{rule.What}: \"{text[Math.Max(0, match.Index - 30)..Math.Min(text.Length, match.Index + match.Length + 20)].ReplaceLineEndings(" ")}\""))];

    /// <summary>The words of an HTML text as a reader sees them, alternative texts included, no-break spaces as spaces.</summary>
    public static string Visible(string html)
    {
        var text = Regex.Replace(html, "(?s)<style>.*?</style>|<head>.*?</head>", string.Empty, RegexOptions.None, TimeSpan.FromSeconds(5));
        text = Regex.Replace(text, "<img[^>]* alt=\"(?<alt>[^\"]*)\"[^>]*>", "${alt}", RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(5));
        return WebUtility.HtmlDecode(Regex.Replace(text, "<[^>]+>", "\n", RegexOptions.None, TimeSpan.FromSeconds(5))).Replace('\u00a0', ' ');
    }

    /// <summary>The words of a template, without what is filled in.</summary>
    public static string Written(string template) => Regex.Replace(template, @"\{\{.*?\}\}|\{%.*?%\}", " ", RegexOptions.None, TimeSpan.FromSeconds(5));

    private static Regex Rule(string pattern) => new(pattern, RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, TimeSpan.FromSeconds(5));
}
