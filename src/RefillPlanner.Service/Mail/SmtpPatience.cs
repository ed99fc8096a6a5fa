using System;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// How long a mail server is waited for. RFC 5321, 4.5.3.2 asks for minutes at every step, for relays; before the final dot nothing is lost by
/// giving up earlier, because the message stays here. After the dot giving up makes it unknown, so there the RFC's ten minutes are kept.
/// </summary>
public sealed record SmtpPatience
{
    /// <summary>For all of connecting, greeting, EHLO, TLS and AUTH together.</summary>
    public TimeSpan Opening { get; init; } = TimeSpan.FromSeconds(60);

    /// <summary>For each of MAIL, RCPT, DATA and NOOP.</summary>
    public TimeSpan Command { get; init; } = TimeSpan.FromSeconds(60);

    /// <summary>For the whole of one letter from MAIL to the final dot, however lively the server seems.</summary>
    public TimeSpan Letter { get; init; } = TimeSpan.FromMinutes(3);

    /// <summary>For the answer to the final dot (RFC 5321, 4.5.3.2.6).</summary>
    public TimeSpan AfterDot { get; init; } = TimeSpan.FromMinutes(10);

    /// <summary>For RSET and QUIT, on which nothing depends.</summary>
    public TimeSpan Quit { get; init; } = TimeSpan.FromSeconds(5);

    /// <summary>How long a connection may lie unused before a new one is made instead; servers close theirs after five minutes or less.</summary>
    public TimeSpan Idle { get; init; } = TimeSpan.FromSeconds(60);
}
