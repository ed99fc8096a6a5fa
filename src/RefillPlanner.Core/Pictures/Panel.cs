using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Pictures;

/// <summary>Which step a panel shows, where two stand beside each other.</summary>
public enum Side
{
    /// <summary>The only one.</summary>
    Alone,

    /// <summary>The present step.</summary>
    Now,

    /// <summary>The step to come.</summary>
    New,
}

/// <summary>One injection in a picture.</summary>
/// <param name="Side">Which step it belongs to.</param>
/// <param name="Number">Its place among the injections of its dosing day; the first is 1.</param>
/// <param name="Of">How many injections that dosing day has.</param>
/// <param name="Reading">What it is read off.</param>
public sealed record Panel(Side Side, int Number, int Of, Reading Reading)
{
    /// <summary>The panels of a dosing day's readings, in order.</summary>
    public static IReadOnlyList<Panel> List(Side side, IReadOnlyList<Reading> readings) =>
        [.. readings.Select((reading, index) => new Panel(side, index + 1, readings.Count, reading))];

    /// <summary>Its heading; may be empty.</summary>
    /// <example><c>New, 1 of 2</c>.</example>
    public string Label(Language language)
    {
        var side = (Side, language) switch
        {
            (Side.Now, Language.Spanish) => "Ahora",
            (Side.Now, _) => "Now",
            (Side.New, Language.Spanish) => "Nueva",
            (Side.New, _) => "New",
            _ => string.Empty,
        };
        if (Of == 1)
            return side;
        var place = string.Create(CultureInfo.InvariantCulture, $"{Number} {(language == Language.Spanish ? "de" : "of")} {Of}");
        return side.Length == 0 ? place : $"{side}, {place}";
    }
}
