using System.Collections.Generic;

namespace RefillPlanner.Core.Messages;

/// <summary>One line a day to the person who runs the service: what was sent, what waits, and the head of the audit. No patient is named.</summary>
public sealed record ServiceReport
{
    /// <summary>The day, in words.</summary>
    public required string Day { get; init; }

    /// <summary>Messages that the mail server took since the last report's day began.</summary>
    public required long Accepted { get; init; }

    /// <summary>Messages that did not reach their reader, of the last 30 days.</summary>
    public required long NotAccepted { get; init; }

    /// <summary>Messages that wait.</summary>
    public required long Waiting { get; init; }

    /// <summary>What keeps mail from being sent, and what to do; empty: nothing.</summary>
    public required IReadOnlyList<string> Pauses { get; init; }

    /// <summary>
    /// The hash of the audit's last row. Kept outside the machine, it proves later that no row was taken from the end: the audit must still hold it.
    /// </summary>
    public required string AuditHead { get; init; }
}
