using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Faults.Tests.Harness;

namespace RefillPlanner.Faults.Tests.Checker;

/// <summary>A letter that the mail server took, whether or not it could say so.</summary>
/// <param name="MessageId">Its Message-ID, without brackets.</param>
/// <param name="To">The recipient of the envelope.</param>
/// <param name="Subject">Its subject.</param>
/// <param name="At">When, as the program has the time.</param>
internal sealed record TakenMail(string MessageId, string To, string Subject, Instant At);

/// <summary>All that is known after a run, from outside the program: what the promise is checked against.</summary>
internal sealed record Evidence
{
    /// <summary>The database file's tables.</summary>
    public required DatabaseRecord Record { get; init; }

    /// <summary>The mail server's log, in order.</summary>
    public required IReadOnlyList<TakenMail> Mails { get; init; }

    /// <summary>The Message-IDs of letters about which nobody can know, one for each time: the connection or the program broke after the final dot.</summary>
    public required IReadOnlyList<string> Ambiguous { get; init; }

    /// <summary>The keys that the program shows as not reached.</summary>
    public required IReadOnlySet<string> Listed { get; init; }

    /// <summary>Ids of the facts whose recording was acknowledged.</summary>
    public required IReadOnlyList<string> Acknowledged { get; init; }

    /// <summary>Who may be written to, and when.</summary>
    public required IReadOnlyList<MailReader> Readers { get; init; }

    /// <summary>Everything that is for no patient and no pharmacy's eyes alone: log lines, health, metrics. By where it stands.</summary>
    public required IReadOnlyList<(string Where, string Text)> Said { get; init; }

    /// <summary>Words that must not be there.</summary>
    public required IReadOnlyList<string> Secrets { get; init; }

    /// <summary>When the run ended.</summary>
    public required Instant EndedAt { get; init; }
}
