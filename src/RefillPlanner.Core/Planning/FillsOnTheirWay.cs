using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>Fills that stopped between pharmacy and patient (planning model, section 2).</summary>
internal static class FillsOnTheirWay
{
    /// <summary>Shipped fills not received by their arrival date plus one open day.</summary>
    public static IReadOnlyList<Fact> ListUnconfirmed(CourseSupply supply, OpenDays openDays)
    {
        var received = supply.Facts.Where(fact => fact.Kind == FactKind.Received).Select(fact => fact.Note).ToHashSet();
        return [.. supply.Facts.Where(fact => fact.Kind == FactKind.Dispensed && fact.Until > fact.On
            && !received.Contains(fact.Id) && supply.AsOf > openDays.Plus(fact.Until.Value, 1))];
    }

    /// <summary>Prepared fills not handed over within <see cref="Policy.UncollectedOpenDays"/>.</summary>
    public static IReadOnlyList<Fact> ListUncollected(CourseSupply supply, OpenDays openDays)
    {
        var lastFill = supply.Facts.LastOrDefault(fact => fact.Kind == FactKind.Dispensed);
        return [.. supply.Facts.Where(fact => fact.Kind == FactKind.Prepared
            && (lastFill is null || lastFill.On < fact.On)
            && supply.AsOf > openDays.Plus(fact.On, supply.Policy.UncollectedOpenDays))];
    }

    /// <summary>The finding of a fill that nobody confirmed.</summary>
    public static Finding Unconfirmed(Fact fill) =>
        new(FindingCode.ArrivalUnconfirmed, $"{fill.Id} was sent on {DateText.Full(fill.On)} to arrive on {DateText.Full(fill.Until!.Value)}; nobody has confirmed it. Please call.");
}
