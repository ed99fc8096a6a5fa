using System;
using System.Collections.Generic;
using System.Linq;
using System.Text.RegularExpressions;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>
/// How easily a text is read. Only whole sentences count: lines that end with a full stop, a question or exclamation mark. Greetings, names and
/// signatures, which would make every text look easier, are left out, and so are numbers.
/// </summary>
internal static class Readability
{
    /// <summary>
    /// Flesch-Kincaid grade: 0.39 words / sentences + 11.8 syllables / words - 15.59 (Kincaid, Fishburne, Rogers, Chissom: Derivation of new
    /// readability formulas for Navy enlisted personnel, 1975).
    /// </summary>
    public static double EnglishGrade(string text)
    {
        var (sentences, words) = Split(text);
        return 0.39 * words.Count / sentences + 11.8 * words.Sum(EnglishSyllables.Count) / words.Count - 15.59;
    }

    /// <summary>
    /// Szigriszt-Pazos index: 206.835 - 62.3 syllables / words - words / sentences (Szigriszt-Pazos 1993), read on the INFLESZ scale: 65 to 80 is "rather
    /// easy" (Barrio-Cantalejo and others 2008).
    /// </summary>
    public static double SpanishIndex(string text)
    {
        var (sentences, words) = Split(text);
        return 206.835 - 62.3 * words.Sum(SpanishSyllables.Count) / words.Count - (double)words.Count / sentences;
    }

    private static (int Sentences, IReadOnlyList<string> Words) Split(string text)
    {
        var lines = text.ReplaceLineEndings("\n").Split('\n').Select(line => line.Trim()).Where(line => line.Length > 0 && line[^1] is '.' or '?' or '!');
        var sentences = lines.SelectMany(line => Regex.Split(line, @"(?<=[.?!:;])\s+", RegexOptions.None, TimeSpan.FromSeconds(1))).Select(Words).Where(words => words.Count > 0).ToArray();
        return (sentences.Length, [.. sentences.SelectMany(words => words)]);
    }

    private static IReadOnlyList<string> Words(string sentence) =>
        [.. Regex.Matches(sentence, @"\p{L}[\p{L}'’-]*", RegexOptions.None, TimeSpan.FromSeconds(1)).Select(match => match.Value)];
}
