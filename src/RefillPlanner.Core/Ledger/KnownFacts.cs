using System.Collections.Generic;
using System.Linq;
using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>Which facts of a course count on an as-of date (supply model, section 3).</summary>
public static class KnownFacts
{
    /// <summary>
    /// The facts in order of date and id, without those taken back by a <see cref="FactKind.Void"/> dated on or before the as-of date,
    /// and without those dated after it; pauses, resumptions, ends and new ladders count in advance. Voids themselves are left out.
    /// The same id twice counts once.
    /// </summary>
    public static Fact[] List(IReadOnlyList<Fact> facts, LocalDate asOf)
    {
        var all = facts as Fact[] ?? [.. facts];
        if (AllCount(all, asOf))
            return all;
        var takenBack = facts.Where(fact => fact.Kind == FactKind.Void && fact.On <= asOf).Select(fact => fact.Note).ToHashSet();
        return
        [
            .. facts
                .Where(fact => fact.Kind != FactKind.Void && !takenBack.Contains(fact.Id) && (fact.On <= asOf || CountsInAdvance(fact.Kind)))
                .DistinctBy(fact => fact.Id)
                .OrderBy(fact => fact.On)
                .ThenBy(fact => fact.Id, System.StringComparer.Ordinal),
        ];
    }

    /// <summary>Whether containers made up were thrown away by their lot on the same day or later: they are not to be handed over.</summary>
    /// <param name="facts">Known facts of the course.</param>
    /// <param name="made">What was made up.</param>
    public static bool IsThrownAway(IReadOnlyList<Fact> facts, Fact made)
    {
        for (var index = 0; index < facts.Count && made.Lot is not null; index++)
        {
            var fact = facts[index];
            if (fact.Kind == FactKind.Discarded && fact.On >= made.On && string.Equals(fact.Lot, made.Lot, System.StringComparison.Ordinal)
                && (fact.ProductId is null || string.Equals(fact.ProductId, made.ProductId, System.StringComparison.Ordinal)))
                return true;
        }

        return false;
    }

    // Whether the facts are in order already, each once, and none is to be left out: nearly always.
    private static bool AllCount(Fact[] facts, LocalDate asOf)
    {
        for (var index = 0; index < facts.Length; index++)
        {
            var fact = facts[index];
            if (fact.Kind == FactKind.Void || (fact.On > asOf && !CountsInAdvance(fact.Kind)))
                return false;
            if (index > 0 && !ComesAfter(fact, facts[index - 1]))
                return false;
        }

        return true;
    }

    private static bool ComesAfter(Fact fact, Fact before) =>
        fact.On == before.On ? string.CompareOrdinal(fact.Id, before.Id) > 0 : fact.On > before.On;

    private static bool CountsInAdvance(FactKind kind) =>
        kind is FactKind.Paused or FactKind.Resumed or FactKind.Ended or FactKind.LadderStarted;
}
