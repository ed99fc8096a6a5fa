using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>The order of what happens on one day; dates pass between <see cref="Counted"/> and <see cref="Opened"/>.</summary>
internal enum WalkEventKind
{
    /// <summary>A fill reaches the patient.</summary>
    Arrived,

    /// <summary>Stock as seen.</summary>
    Counted,

    /// <summary>First puncture.</summary>
    Opened,

    /// <summary>Thrown away.</summary>
    Discarded,

    /// <summary>The day's doses were not given.</summary>
    Missed,
}

/// <summary>A fact on the day on which it changes the stock.</summary>
/// <param name="Day">The day.</param>
/// <param name="Kind">What happens.</param>
/// <param name="Fact">The fact.</param>
internal readonly record struct WalkEvent(int Day, WalkEventKind Kind, Fact Fact)
{
    /// <summary>The events of a course in the order of the walk.</summary>
    /// <param name="facts">Known facts.</param>
    public static WalkEvent[] List(IReadOnlyList<Fact> facts)
    {
        var received = facts.Where(fact => fact.Kind == FactKind.Received)
            .GroupBy(fact => fact.Note!)
            .ToDictionary(group => group.Key, group => group.Min(fact => fact.On));
        return [.. facts
            .Select(fact => Of(fact, received.TryGetValue(fact.Id, out var on) ? on : null))
            .OfType<WalkEvent>()
            .OrderBy(item => item.Day)
            .ThenBy(item => item.Kind)
            .ThenBy(item => item.Fact.Id, StringComparer.Ordinal)];
    }

    private static WalkEvent? Of(Fact fact, NodaTime.LocalDate? receivedOn) => fact.Kind switch
    {
        FactKind.Dispensed => new(DayNumber.Of(receivedOn ?? fact.Until ?? fact.On), WalkEventKind.Arrived, fact),
        FactKind.Counted => new(DayNumber.Of(fact.On), WalkEventKind.Counted, fact),
        FactKind.Opened => new(DayNumber.Of(fact.On), WalkEventKind.Opened, fact),
        FactKind.Discarded => new(DayNumber.Of(fact.On), WalkEventKind.Discarded, fact),
        FactKind.Missed => new(DayNumber.Of(fact.On), WalkEventKind.Missed, fact),
        _ => null,
    };
}
