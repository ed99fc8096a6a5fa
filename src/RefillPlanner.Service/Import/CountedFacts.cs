using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>
/// Which counts of a course hold, and which of its facts are taken back: on record, and of the roster so far. Voids come first. What goes
/// through here goes on record, so that it may be forgotten and made again.
/// </summary>
internal sealed class CountedFacts
{
    private readonly HashSet<string> _voided;
    private readonly Lazy<Dictionary<(string Product, LocalDate On), string>> _counts;

    public CountedFacts(RosterLedger ledger, string courseId)
    {
        var facts = ledger.ListCountsAndVoids(courseId);
        _voided = facts.Where(fact => fact.Kind == FactKind.Void).Select(fact => fact.Note!).ToHashSet();
        _counts = new(() => facts
            .Where(fact => fact.Kind == FactKind.Counted && !_voided.Contains(fact.Id))
            .DistinctBy(fact => (fact.ProductId!, fact.On))
            .ToDictionary(fact => (fact.ProductId!, fact.On), fact => fact.Id));
    }

    /// <summary>Takes a fact back; false: it is taken back already.</summary>
    public bool TakeBack(string factId) => _voided.Add(factId);

    /// <summary>The count that holds for the product and day of another one; null: the other one itself, or it is taken back.</summary>
    public string? FindOther(Fact count) =>
        _voided.Contains(count.Id) || _counts.Value.TryAdd((count.ProductId!, count.On), count.Id) ? null : _counts.Value[(count.ProductId!, count.On)];
}
