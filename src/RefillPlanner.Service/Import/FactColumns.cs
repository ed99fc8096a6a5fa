using System;
using System.Collections.Frozen;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Which columns a kind of fact must have and may not have, beside its id, course, kind and day.</summary>
/// <param name="Needed">Must not be blank.</param>
/// <param name="Unused">Must be blank. All others may be.</param>
internal sealed record FactColumns(string[] Needed, string[] Unused)
{
    private static readonly FrozenDictionary<FactKind, FactColumns> All = Enum.GetValues<FactKind>().ToFrozenDictionary(kind => kind, kind =>
    {
        var (needed, allowed) = Use(kind);
        return new FactColumns(needed, [.. RosterSchema.Facts.Columns.Skip(4).Except(needed).Except(allowed)]);
    });

    public static FactColumns Of(FactKind kind) => All[kind];

    private static (string[] Needed, string[] Allowed) Use(FactKind kind) => kind switch
    {
        FactKind.Prepared => (["product_id", "containers"], ["expires_on", "lot"]),
        FactKind.Dispensed => (["product_id", "containers"], ["expires_on", "lot", "days_supply", "until"]),
        FactKind.Received => (["note"], []),
        FactKind.Counted => (["product_id", "containers"], ["volume_ml", "opened_on"]),
        FactKind.Opened => (["product_id"], []),
        FactKind.Discarded => ([], ["product_id", "containers", "lot"]),
        FactKind.Paused => ([], ["until"]),
        FactKind.Approved => (["step"], ["until", "note"]),
        FactKind.Held => (["step"], ["until", "note"]),
        FactKind.LadderStarted => (["step"], []),
        FactKind.Answered or FactKind.Void => (["note"], []),
        _ => ([], []),
    };
}
