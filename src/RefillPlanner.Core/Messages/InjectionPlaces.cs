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

    /// <summary>How many injections go by until a place comes again.</summary>
    public static int Turn => English.Length;

    /// <summary>
    /// The places of a dosing day's injections. The turn goes on from the injection before, whatever its step and rhythm, so that two in a row never share a
    /// place; the same day has the same places on every sheet.
    /// </summary>
    /// <param name="before">How many injections of the course came before that day; 0 for its first.</param>
    /// <param name="injections">How many injections that dosing day has.</param>
    /// <param name="language">Of the words.</param>
    public static IReadOnlyList<string> List(long before, int injections, Language language)
    {
        var words = language == Language.Spanish ? Spanish : English;
        return [.. Enumerable.Range(0, injections).Select(injection => words[(before + injection) % words.Length])];
    }
}
