using System;
using System.Collections.Generic;
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
/// <param name="Product">Place of the product; -1: none is named.</param>
/// <param name="ExpiresOn">Beyond-use date; <see cref="DayNumber.Never"/>: none.</param>
/// <param name="Containers">How many containers; -1: not said.</param>
/// <param name="Fact">The fact.</param>
/// <param name="Left">What a count found in the open container, in nanolitres; 0: none is open.</param>
/// <param name="OpenedOn">Since when it is open; <see cref="DayNumber.Never"/>: that was not written.</param>
internal readonly record struct WalkEvent(int Day, WalkEventKind Kind, int Product, int ExpiresOn, int Containers, Fact Fact, long Left = 0, int OpenedOn = DayNumber.Never)
{
    /// <summary>The events of a course in the order of the walk.</summary>
    /// <param name="facts">Known facts, in order: see <see cref="KnownFacts"/>.</param>
    /// <param name="shelf">The products.</param>
    public static WalkEvent[] List(IReadOnlyList<Fact> facts, ProductShelf shelf)
    {
        var count = 0;
        for (var index = 0; index < facts.Count; index++)
            count += KindOf(facts[index].Kind) is null ? 0 : 1;

        var events = new WalkEvent[count];
        var place = 0;
        for (var index = 0; index < facts.Count; index++)
        {
            var fact = facts[index];
            if (KindOf(fact.Kind) is not WalkEventKind kind)
                continue;
            var on = kind == WalkEventKind.Arrived ? FindReceived(facts, fact) ?? fact.Until ?? fact.On : fact.On;
            var happened = new WalkEvent(
                DayNumber.Of(on), kind, fact.ProductId is string id ? shelf.PlaceOf(id) : -1, DayNumber.OrNever(fact.ExpiresOn), fact.Containers ?? -1, fact,
                fact.Volume?.Nanolitres ?? 0, DayNumber.OrNever(fact.OpenedOn));
            var before = place++;
            for (; before > 0 && happened.ComesBefore(events[before - 1]); before--)
                events[before] = events[before - 1];
            events[before] = happened;
        }

        return events;
    }

    private bool ComesBefore(in WalkEvent other) => Day != other.Day ? Day < other.Day
        : Kind != other.Kind ? Kind < other.Kind
        : string.CompareOrdinal(Fact.Id, other.Fact.Id) < 0;

    // The earliest day on which a fill is recorded as received; null: it is not.
    private static NodaTime.LocalDate? FindReceived(IReadOnlyList<Fact> facts, Fact fill)
    {
        NodaTime.LocalDate? earliest = null;
        for (var index = 0; index < facts.Count; index++)
        {
            var fact = facts[index];
            if (fact.Kind == FactKind.Received && (earliest is null || fact.On < earliest) && string.Equals(fact.Note, fill.Id, StringComparison.Ordinal))
                earliest = fact.On;
        }

        return earliest;
    }

    private static WalkEventKind? KindOf(FactKind kind) => kind switch
    {
        FactKind.Dispensed => WalkEventKind.Arrived,
        FactKind.Counted => WalkEventKind.Counted,
        FactKind.Opened => WalkEventKind.Opened,
        FactKind.Discarded => WalkEventKind.Discarded,
        FactKind.Missed => WalkEventKind.Missed,
        _ => null,
    };
}
