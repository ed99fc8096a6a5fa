using System;
using System.Collections.Frozen;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>The life of a message: which state may follow which. The one place where this stands.</summary>
public static class MessageLife
{
    private static readonly FrozenDictionary<MessageState, FrozenSet<MessageState>> Moves = new Dictionary<MessageState, FrozenSet<MessageState>>
    {
        [MessageState.Queued] = To(MessageState.Sending, MessageState.Expired, MessageState.Suppressed),
        [MessageState.Sending] = To(MessageState.Accepted, MessageState.Bounced, MessageState.Queued, MessageState.Unknown),
        [MessageState.Unknown] = To(MessageState.Sending, MessageState.Bounced, MessageState.Expired, MessageState.Suppressed),
        [MessageState.Accepted] = To(MessageState.Bounced),
        [MessageState.Bounced] = To(),
        [MessageState.Expired] = To(),
        [MessageState.Suppressed] = To(),
    }.ToFrozenDictionary();

    /// <summary>Whether a message may go from one state to another. Accepted or unknown to bounced: a delivery report came later.</summary>
    public static bool Allows(MessageState from, MessageState to) => Moves[from].Contains(to);

    /// <summary>Returns when the move is allowed.</summary>
    /// <exception cref="InvalidOperationException">The life table has no such move.</exception>
    public static void Demand(MessageKey key, MessageState from, MessageState to)
    {
        if (!Allows(from, to))
            throw new InvalidOperationException($"Message {key}: no move from {Kebab.Of(from)} to {Kebab.Of(to)}.");
    }

    private static FrozenSet<MessageState> To(params MessageState[] states) => states.ToFrozenSet();
}
