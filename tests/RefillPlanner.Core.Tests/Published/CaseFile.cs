using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using Xunit;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>One ruling and the source that stands above it.</summary>
/// <param name="Ruling">Given, arrow, answer: the line as written.</param>
/// <param name="Source">The comment lines above it; the first begins with <c>source</c> and a mark.</param>
public sealed record CaseLine(string Ruling, string Source);

/// <summary>
/// A file of rulings, one a line. Lines beginning with <c># </c> name the source of the lines below them, up to the next blank
/// line; the first of them reads <c># source (mark): ...</c>. The mark is R (read in the source), 2 (read in a text that quotes it),
/// C (computed here: a regression value, no authority) or model (the project's own supply model).
/// </summary>
public static class CaseFile
{
    private static readonly string[] Marks = ["R", "2", "C", "R / 2", "R / C", "model"];

    /// <summary>The rulings of a file as theory rows: ruling, source.</summary>
    public static IEnumerable<TheoryDataRow<string, string>> List(string name) =>
        Read(name, ReadText(name)).Select(line => new TheoryDataRow<string, string>(line.Ruling, line.Source));

    /// <summary>The rulings of a text.</summary>
    /// <exception cref="FormatException">A ruling without a source, an unknown mark, or a source without a ruling.</exception>
    public static IReadOnlyList<CaseLine> Read(string name, string text)
    {
        var cases = new List<CaseLine>();
        var source = new List<string>();
        var isUsed = true;
        foreach (var (line, number) in text.Split('\n').Append(string.Empty).Select((line, index) => (line.TrimEnd(), index + 1)))
        {
            if (line.StartsWith("# ", StringComparison.Ordinal))
            {
                source.Add(line[2..]);
                isUsed = false;
            }
            else if (line.Length > 0)
            {
                if (source.Count == 0 || !Marks.Any(mark => source[0].StartsWith($"source ({mark}): ", StringComparison.Ordinal)))
                    throw new FormatException($"{name}, line {number}: no source with a known mark stands above \"{line}\".");
                cases.Add(new CaseLine(line, string.Join(' ', source)));
                isUsed = true;
            }
            else
            {
                if (!isUsed)
                    throw new FormatException($"{name}, line {number}: a source without a ruling.");
                source.Clear();
            }
        }

        return cases;
    }

    private static string ReadText(string name)
    {
        using var stream = typeof(CaseFile).Assembly.GetManifestResourceStream(name) ?? throw new FileNotFoundException(name);
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }
}
