using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>What a message is for (planning model, section 7).</summary>
public enum MessageKind
{
    /// <summary>The refill-due list, to staff.</summary>
    MorningList,

    /// <summary>Time to arrange the next supply, sharps and discard lines: at most one a day, to the patient.</summary>
    PatientNotice,

    /// <summary>A dose increase is coming, to the pharmacist.</summary>
    StepUpAlert,

    /// <summary>Something that must be mended, to the person who runs the service.</summary>
    ServiceAlert,
}

/// <summary>The states of a message's life. Five of them are final.</summary>
public enum MessageState
{
    /// <summary>Written with the decision, not yet tried, or to be tried again.</summary>
    Queued,

    /// <summary>Durably marked before the mail server is spoken to.</summary>
    Sending,

    /// <summary>The mail server (or the drop folder) took it.</summary>
    Accepted,

    /// <summary>Refused for good: call.</summary>
    Bounced,

    /// <summary>Its time passed before it could go: call.</summary>
    Expired,

    /// <summary>The connection broke after the final dot: it may have gone. One retry, then this is final.</summary>
    Unknown,

    /// <summary>Not sent on purpose: opted out, no address, or no longer needed.</summary>
    Suppressed,
}

/// <summary>
/// A message's identity, made from its meaning, such as <c>patient-notice/P-7/2026-03-02</c>. Its Message-ID is made from it, so a
/// copy carries the same one.
/// </summary>
/// <param name="Text">Kind, subject and day, joined by slashes.</param>
public readonly record struct MessageKey(string Text)
{
    /// <summary>The key of a message about a subject on a day.</summary>
    public static MessageKey Of(MessageKind kind, string subject, NodaTime.LocalDate on) =>
        new($"{Kebab.Of(kind)}/{subject}/{NodaTime.Text.LocalDatePattern.Iso.Format(on)}");

    /// <inheritdoc/>
    public override string ToString() => Text;
}
