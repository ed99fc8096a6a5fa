using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Core.Messages;

/// <summary>A message as decided and rendered to its end: what the outbox holds, and the very words that will be sent.</summary>
public sealed record OutgoingMessage
{
    /// <summary>Identity from meaning.</summary>
    public required MessageKey Key { get; init; }

    /// <summary>What it is for.</summary>
    public required MessageKind Kind { get; init; }

    /// <summary>The Message-ID that it carries on every try, without angle brackets.</summary>
    public required string MessageId { get; init; }

    /// <summary>The site it is sent for; null: for the service as a whole.</summary>
    public string? SiteId { get; init; }

    /// <summary>The patient it goes to or is about; null for the morning list and service alerts.</summary>
    public string? PatientId { get; init; }

    /// <summary>The tasks that it carries out; when all are done or withdrawn it is no longer needed.</summary>
    public IReadOnlyList<TaskKey> TaskKeys { get; init; } = [];

    /// <summary>One recipient's address; null: there is none that may be used, and the message is suppressed.</summary>
    public required string? To { get; init; }

    /// <summary>The language tag of the text, such as <c>en-US</c>.</summary>
    public required string LanguageTag { get; init; }

    /// <summary>Subject, without anything about the patient's medicine.</summary>
    public required string Subject { get; init; }

    /// <summary>The complete plain text.</summary>
    public required string Text { get; init; }

    /// <summary>The same as HTML.</summary>
    public required string Html { get; init; }

    /// <summary>When it was decided; becomes the Date header.</summary>
    public required Instant DecidedAt { get; init; }

    /// <summary>Not sent before.</summary>
    public required Instant NotBefore { get; init; }

    /// <summary>Not sent from this instant on: four days after the decision, or earlier.</summary>
    public required Instant ExpiresAt { get; init; }
}

/// <summary>A message as it stands in the outbox.</summary>
public sealed record MessageOnRecord
{
    /// <summary>What was decided.</summary>
    public required OutgoingMessage Message { get; init; }

    /// <summary>Where it is in its life.</summary>
    public required MessageState State { get; init; }

    /// <summary>How often the mail server was spoken to about it.</summary>
    public required int Attempts { get; init; }

    /// <summary>When it may be tried next.</summary>
    public required Instant NextAttemptAt { get; init; }

    /// <summary>While it is being sent: until when this is to be believed. Null in every other state.</summary>
    public Instant? LeaseUntil { get; init; }

    /// <summary>When it came into this state.</summary>
    public required Instant ChangedAt { get; init; }

    /// <summary>The server's answer, or why it was not sent; null: nothing to say.</summary>
    public string? Detail { get; init; }
}
