using System;
using System.Collections.Generic;
using RefillPlanner.Servers;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>How the mail server behaves for a while.</summary>
/// <param name="Name">In a few words.</param>
/// <param name="Script">What it does at a moment; null: what a willing server does.</param>
internal sealed record MailMode(string Name, Func<SmtpMoment, Reply?> Script)
{
    /// <summary>The moment at which it keeps the client waiting without end; null: it never does.</summary>
    public string? HangsAt { get; init; }

    /// <summary>Whether the program is told to protect the connection by STARTTLS, which the server does not offer.</summary>
    public bool IsTlsWanted { get; init; }

    /// <summary>Whether the program is to log in.</summary>
    public bool IsLoginWanted { get; init; }

    /// <summary>Takes everything.</summary>
    public static readonly MailMode Normal = new("normal", _ => null);

    /// <summary>Takes the letter and closes the connection instead of saying so.</summary>
    public static readonly MailMode TakesAndDrops = At(SmtpMoments.Message, "takes the letter and drops the connection", Reply.TakeAndClose);

    /// <summary>Takes the letter and never says so.</summary>
    public static readonly MailMode SilentAfterTheDot = At(SmtpMoments.Message, "no reply after the dot", Reply.Hang) with { HangsAt = SmtpMoments.Message };

    /// <summary>All of the modes that are not normal.</summary>
    public static readonly IReadOnlyList<MailMode> Bad =
    [
        At(SmtpMoments.Greeting, "421 at the greeting", "421 4.3.2 closing"),
        At(SmtpMoments.Greeting, "drops at the greeting", Reply.Close),
        At(SmtpMoments.Greeting, "hangs at the greeting", Reply.Hang) with { HangsAt = SmtpMoments.Greeting },
        At(SmtpMoments.Greeting, "one byte a minute", Reply.Drip("220 slow", TimeSpan.FromMinutes(1))) with { HangsAt = SmtpMoments.Greeting },
        At(SmtpMoments.Mail, "421 at MAIL", "421 4.3.2 closing"),
        At(SmtpMoments.Mail, "452 quota used up", "452 4.3.1 daily quota used up"),
        At(SmtpMoments.Rcpt, "450 at RCPT", "450 4.2.0 greylisted, try later"),
        At(SmtpMoments.Rcpt, "550 at RCPT", "550 5.1.1 no such user"),
        At(SmtpMoments.Letter, "drops in the middle of the letter", Reply.Close),
        At(SmtpMoments.Message, "554 after the dot", "554 5.6.0 refused"),
        TakesAndDrops,
        SilentAfterTheDot,
        At(SmtpMoments.Auth, "535 wrong password", "535 5.7.8 user or password is wrong") with { IsLoginWanted = true },
        new MailMode("no STARTTLS", _ => null) { IsTlsWanted = true },
    ];

    /// <inheritdoc/>
    public override string ToString() => Name;

    private static MailMode At(string phase, string name, Reply? reply) => new(name, moment => moment.Phase == phase ? reply : null);
}
