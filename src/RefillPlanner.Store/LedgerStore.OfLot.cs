using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <content>What is on record about one lot.</content>
public sealed partial class LedgerStore
{
    /// <summary>The facts that name a lot, in order of course, date and id.</summary>
    public IReadOnlyList<Fact> ListFactsOfLot(string lot) => [.. _statements.Prepare(
        $"SELECT {FactColumns} FROM facts WHERE lot = ? ORDER BY course_id, on_date, fact_id;")
        .Bind(lot).List(ReadFact)];
}
