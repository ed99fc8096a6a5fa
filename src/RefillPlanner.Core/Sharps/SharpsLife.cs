using System;
using System.Collections.Frozen;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Sharps;

/// <summary>
/// The life of a sharps container: which state may follow which. The one place where this stands (planning model, section 5). Its state is worked
/// out from what is on record; when the record is corrected, the container goes back to where it is by the new record.
/// </summary>
public static class SharpsLife
{
    private static readonly FrozenDictionary<SharpsState, FrozenSet<SharpsState>> Moves = new Dictionary<SharpsState, FrozenSet<SharpsState>>
    {
        [SharpsState.Issued] = To(SharpsState.NoticeSent, SharpsState.Returned, SharpsState.WrittenOff),
        [SharpsState.NoticeSent] = To(SharpsState.Returned, SharpsState.Overdue, SharpsState.WrittenOff, SharpsState.Issued),
        [SharpsState.Overdue] = To(SharpsState.Returned, SharpsState.WrittenOff, SharpsState.NoticeSent),
        [SharpsState.Returned] = To(SharpsState.Issued, SharpsState.WrittenOff),
        [SharpsState.WrittenOff] = To(SharpsState.Issued, SharpsState.Returned),
    }.ToFrozenDictionary();

    /// <summary>Whether a container may go from one state to another in one move.</summary>
    public static bool Allows(SharpsState from, SharpsState to) => Moves[from].Contains(to);

    /// <summary>The moves that lead from one state to another, in order, none left out: who was off for weeks still gave a notice before it was overdue.</summary>
    /// <returns>The states entered; empty where nothing changes.</returns>
    public static IReadOnlyList<SharpsState> ListMoves(SharpsState from, SharpsState to)
    {
        if (from == to)
            return [];
        if (Allows(from, to))
            return [to];
        return (from, to) switch
        {
            (SharpsState.Issued, SharpsState.Overdue) => [SharpsState.NoticeSent, to],
            (SharpsState.Overdue, SharpsState.Issued) => [SharpsState.NoticeSent, to],
            (SharpsState.Returned or SharpsState.WrittenOff, SharpsState.NoticeSent) => [SharpsState.Issued, to],
            (SharpsState.Returned or SharpsState.WrittenOff, SharpsState.Overdue) => [SharpsState.Issued, SharpsState.NoticeSent, to],
            _ => throw new InvalidOperationException($"No moves lead a sharps container from {Kebab.Of(from)} to {Kebab.Of(to)}."),
        };
    }

    private static FrozenSet<SharpsState> To(params SharpsState[] states) => states.ToFrozenSet();
}
