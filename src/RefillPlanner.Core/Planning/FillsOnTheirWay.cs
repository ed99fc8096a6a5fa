using System;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>Fills that stopped between pharmacy and patient (planning model, section 2).</summary>
internal static class FillsOnTheirWay
{
    /// <summary>The last day on which a shipped fill may still come before somebody calls: its arrival date plus one open day.</summary>
    public static int? FindAwaitedThrough(CourseSupply supply, Fact fact, OpenDays openDays) =>
        fact.Kind == FactKind.Dispensed && fact.Until > fact.On && !IsReceived(supply, fact) ? openDays.Plus(DayNumber.Of(fact.Until.Value), 1) : null;

    /// <summary>The last day on which a prepared fill may still wait before somebody calls; null: it is none, was handed over, or is not to be.</summary>
    public static int? FindKeptThrough(CourseSupply supply, Fact fact, OpenDays openDays) =>
        fact.Kind == FactKind.Prepared && !IsFilledSince(supply, fact) && !KnownFacts.IsThrownAway(supply.Facts, fact) ? openDays.Plus(DayNumber.Of(fact.On), supply.Policy.UncollectedOpenDays) : null;

    /// <summary>Shipped fills not received by their arrival date plus one open day.</summary>
    public static IReadOnlyList<Fact> ListUnconfirmed(CourseSupply supply, OpenDays openDays) => List(supply, fact => FindAwaitedThrough(supply, fact, openDays));

    /// <summary>Prepared fills not handed over within <see cref="Policy.UncollectedOpenDays"/>.</summary>
    public static IReadOnlyList<Fact> ListUncollected(CourseSupply supply, OpenDays openDays) => List(supply, fact => FindKeptThrough(supply, fact, openDays));

    /// <summary>The finding of a fill that nobody confirmed.</summary>
    public static Finding Unconfirmed(Fact fill) =>
        new(FindingCode.ArrivalUnconfirmed, $"{fill.Id} was sent on {DateText.Full(fill.On)} to arrive on {DateText.Full(fill.Until!.Value)}; nobody has confirmed it. Please call.");

    private static List<Fact> List(CourseSupply supply, Func<Fact, int?> findThrough)
    {
        var late = new List<Fact>();
        for (var index = 0; index < supply.Facts.Length; index++)
        {
            if (supply.AsOfDay > findThrough(supply.Facts[index]))
                late.Add(supply.Facts[index]);
        }

        return late;
    }

    private static bool IsReceived(CourseSupply supply, Fact fill)
    {
        for (var index = 0; index < supply.Facts.Length; index++)
        {
            if (supply.Facts[index].Kind == FactKind.Received && string.Equals(supply.Facts[index].Note, fill.Id, StringComparison.Ordinal))
                return true;
        }

        return false;
    }

    // Whether a fill followed on the same day or later.
    private static bool IsFilledSince(CourseSupply supply, Fact prepared)
    {
        for (var index = supply.Facts.Length - 1; index >= 0; index--)
        {
            if (supply.Facts[index].Kind == FactKind.Dispensed)
                return supply.Facts[index].On >= prepared.On;
        }

        return false;
    }
}
