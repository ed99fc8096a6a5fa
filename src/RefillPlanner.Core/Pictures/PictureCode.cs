using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Pictures;

/// <summary>
/// A picture written as one word, from which it can be drawn again: the name under which a letter's text refers to its picture. So the text on record
/// is all that is needed to send the same picture again.
/// </summary>
/// <example><c>now-1-1-barrel-500000-10000-100-100000_new-1-1-barrel-500000-10000-100-200000</c>: 10 units beside 20 on a 0.5 mL U-100 barrel.</example>
public static class PictureCode
{
    private const string Ml = "ml";
    private const int MostPanels = 16;

    /// <summary>The word: letters, digits, points, hyphens and underscores only.</summary>
    public static string Write(IReadOnlyList<Panel> panels) => string.Join('_', panels.Select(panel => string.Join('-', Words(panel))));

    /// <summary>The panels of a word; null: it is none.</summary>
    public static IReadOnlyList<Panel>? Find(string code)
    {
        var panels = code.Split('_').Select(FindPanel).ToArray();
        return panels.Length > MostPanels || panels.Any(panel => panel is null) ? null : [.. panels.OfType<Panel>()];
    }

    private static IEnumerable<string> Words(Panel panel)
    {
        string[] place = [Kebab.Of(panel.Side), Whole(panel.Number), Whole(panel.Of)];
        return panel.Reading switch
        {
            BarrelReading { Barrel: var barrel } reading => [.. place, "barrel", Whole(barrel.Capacity.Nanolitres), Whole(barrel.Graduation.Nanolitres), barrel.UnitsPerMl is decimal perMl ? Exact.Plain(perMl) : Ml, Whole(reading.Mark.Nanolitres)],
            DialReading reading => [.. place, "dial", Whole(reading.Dialled.Billionths), Kebab.Of(reading.Unit)],
            _ => throw new ArgumentException($"A picture of {panel.Reading} has no code.", nameof(panel)),
        };
    }

    private static Panel? FindPanel(string code)
    {
        var words = code.Split('-');
        if (words.Length < 4 || !Kebab.TryParse<Side>(words[0], out var side) || Number(words[1]) is not (> 0 and <= MostPanels and var number) || Number(words[2]) is not (> 0 and <= MostPanels and var of))
            return null;
        Reading? reading = words[3..] switch
        {
            ["barrel", var capacity, var graduation, var perMl, var mark] => FindBarrel(Number(capacity), Number(graduation), perMl, Number(mark)),
            ["dial", var dialled, var unit] when Number(dialled) is long amount && Kebab.TryParse<DoseUnit>(unit, out var of2) => new DialReading(new Amount(amount), of2.Value),
            _ => null,
        };
        return reading is null ? null : new Panel(side.Value, (int)number, (int)of, reading);
    }

    private static BarrelReading? FindBarrel(long? capacity, long? graduation, string units, long? mark)
    {
        decimal? perMl = units == Ml ? null : decimal.TryParse(units, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var value) ? value : 0;
        if (perMl == 0 || capacity is not > 0 || graduation is not > 0 || capacity % graduation != 0 || mark is null || mark > capacity)
            return null;
        var barrel = new Barrel(new Volume(capacity.Value), new Volume(graduation.Value), perMl);
        return BarrelScale.Fits(barrel) ? new BarrelReading(barrel, new Volume(mark.Value)) : null;
    }

    private static string Whole(long number) => number.ToString(CultureInfo.InvariantCulture);

    private static long? Number(string text) => long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var value) ? value : null;
}
