namespace RefillPlanner.Service.Mail;

/// <summary>Where a conversation with a mail server stands, in order: what was said last, and waits for its answer.</summary>
internal enum SmtpPhase
{
    Connect,
    Greeting,
    Ehlo,
    StartTls,
    Auth,
    Noop,
    Mail,
    Rcpt,
    Data,

    /// <summary>The letter is on its way; its final dot is not.</summary>
    Letter,

    /// <summary>The final dot may be out.</summary>
    Dot,
    Quit,
}

/// <summary>The names of phases in a detail.</summary>
internal static class SmtpPhaseNames
{
    public static string Name(this SmtpPhase phase) => phase switch
    {
        SmtpPhase.Connect => "connecting",
        SmtpPhase.Greeting => "greeting",
        SmtpPhase.Letter => "sending the letter",
        SmtpPhase.Dot => "after the final dot",
        _ => phase.ToString().ToUpperInvariant(),
    };
}
