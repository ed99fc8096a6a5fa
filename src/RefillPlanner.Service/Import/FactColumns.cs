using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Which columns a kind of fact must have and may have, beside its id, course, kind and day.</summary>
/// <param name="Needed">Must not be blank.</param>
/// <param name="Allowed">May be blank. All others must be.</param>
internal sealed record FactColumns(IReadOnlyList<string> Needed, IReadOnlyList<string> Allowed)
{
    public static FactColumns Of(FactKind kind) => kind switch
    {
        FactKind.Prepared => new(["product_id", "containers"], ["expires_on", "lot"]),
        FactKind.Dispensed => new(["product_id", "containers"], ["expires_on", "lot", "days_supply", "until"]),
        FactKind.Received => new(["note"], []),
        FactKind.Counted => new(["product_id", "containers"], ["volume_ml", "opened_on"]),
        FactKind.Opened => new(["product_id"], []),
        FactKind.Discarded => new([], ["product_id", "containers", "lot"]),
        FactKind.Paused => new([], ["until"]),
        FactKind.Approved => new(["step"], ["until", "note"]),
        FactKind.Held => new(["step"], ["until", "note"]),
        FactKind.LadderStarted => new(["step"], []),
        FactKind.Answered or FactKind.Void => new(["note"], []),
        _ => new([], []),
    };
}
