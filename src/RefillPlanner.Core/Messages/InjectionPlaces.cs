using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>
/// Where on the body the next injection goes, in turn: left and right of the belly, left and right thigh. The upper arms are no part of the turn: they
/// need a second person. How far apart is a text of the sheet (at least a finger's width from the last place: Clin Diabetes 2019;37:227).
/// </summary>
internal static class InjectionPlaces
{
    private static readonly string[] English = ["belly, left", "belly, right", "thigh, left", "thigh, right"];
    private static readonly string[] Spanish = ["vientre, izquierda", "vientre, derecha", "muslo izquierdo", "muslo derecho"];

    /// <summary>The places of a dosing day's injections. The same day has the same ones on every sheet, and the next dosing day goes on from them.</summary>
    /// <param name="day">The day, as a number.</param>
    /// <param name="everyDays">Days from one dosing day to the next.</param>
    /// <param name="injections">How many injections a dosing day has.</param>
    /// <param name="language">Of the words.</param>
    public static IReadOnlyList<string> List(int day, int everyDays, int injections, Language language)
    {
        var words = language == Language.Spanish ? Spanish : English;
        var first = (long)(day / everyDays) * injections;
        return [.. Enumerable.Range(0, injections).Select(injection => words[(first + injection) % words.Length])];
    }
}
