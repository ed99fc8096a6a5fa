using System;
using System.IO;
using System.Net.Sockets;
using System.Text.RegularExpressions;
using MailKit;
using MailKit.Net.Smtp;
using MailKit.Security;

namespace RefillPlanner.Service.Mail;

/// <summary>Sorts what a mail server answered, or how a connection ended, by what to do next.</summary>
internal static partial class SmtpVerdict
{
    /// <summary>Whether an exception says something about server or connection, not about this program.</summary>
    public static bool Knows(Exception failure) => failure is CommandException or ProtocolException or IOException or SocketException or TimeoutException
        or OperationCanceledException or AuthenticationException or SslHandshakeException or ServiceNotAuthenticatedException or ServiceNotConnectedException
        or NotSupportedException;

    /// <summary>What follows from a try that ended with an exception.</summary>
    /// <param name="failure">The exception.</param>
    /// <param name="talk">The connection's talk.</param>
    /// <param name="certificateFault">What is wrong with the server's certificate; null: nothing.</param>
    public static Delivery Of(Exception failure, SmtpTalk talk, string? certificateFault)
    {
        var phase = talk.Phase;
        switch (failure)
        {
            case SmtpCommandException answer:
                return Of(phase, (int)answer.StatusCode, answer.Message);
            case AuthenticationException { InnerException: SmtpCommandException answer }:
                return Of(SmtpPhase.Auth, (int)answer.StatusCode, answer.Message);
            case AuthenticationException { InnerException: null }:
                return Of(SmtpPhase.Auth, 534, "the server wants another way to log in"); // the one answer that MailKit drops
            case ServiceNotAuthenticatedException:
                return Of(phase, 530, failure.Message);
        }

        if (phase == SmtpPhase.Dot)
            return Say(DeliveryOutcome.Unknown, phase, talk.Token.IsCancellationRequested ? "no answer in time" : $"the connection broke: {failure.Message}");
        if (talk.IsStopped)
            return new Delivery(DeliveryOutcome.ServerAway, Delivery.Stopped);
        if (talk.Token.IsCancellationRequested)
            return Say(DeliveryOutcome.ServerAway, phase, "no answer in time");
        return failure switch
        {
            SslHandshakeException when certificateFault is not null => Say(DeliveryOutcome.AccountRefused, phase, certificateFault),
            SslHandshakeException { InnerException: IOException or SocketException } => Say(DeliveryOutcome.ServerAway, phase, "the connection broke while TLS was set up"),
            SslHandshakeException => Say(DeliveryOutcome.AccountRefused, phase, $"TLS could not be set up: {failure.InnerException?.Message}"),
            NotSupportedException when phase >= SmtpPhase.Mail => Say(DeliveryOutcome.Refused, phase, failure.Message),
            NotSupportedException => Say(DeliveryOutcome.AccountRefused, phase, failure.Message),
            _ => Say(DeliveryOutcome.ServerAway, phase, failure.Message),
        };
    }

    /// <summary>What follows from an answer.</summary>
    /// <param name="phase">What was answered.</param>
    /// <param name="code">The reply code.</param>
    /// <param name="text">The text behind it.</param>
    public static Delivery Of(SmtpPhase phase, int code, string text) => Say(Sort(phase, code, EnhancedCode().Match(text)), phase, $"{code} {text}");

    /// <summary>A delivery with its phase said first.</summary>
    public static Delivery Say(DeliveryOutcome outcome, SmtpPhase phase, string text) => Delivery.Of(outcome, $"{phase.Name()}: {text}");

    private static DeliveryOutcome Sort(SmtpPhase phase, int code, Match enhanced) => code switch
    {
        421 => DeliveryOutcome.ServerAway, // RFC 5321, 3.8: may come at any time
        530 or 534 or 535 or 538 => DeliveryOutcome.AccountRefused, // RFC 4954, 6
        _ when phase >= SmtpPhase.Mail && IsQuota(phase, code, enhanced) => DeliveryOutcome.QuotaReached,
        _ when phase == SmtpPhase.StartTls => DeliveryOutcome.AccountRefused,
        552 when phase == SmtpPhase.Mail => DeliveryOutcome.Refused, // RFC 1870, 6.1: this message is too large
        >= 500 and < 600 => phase < SmtpPhase.Rcpt ? DeliveryOutcome.AccountRefused : DeliveryOutcome.Refused,
        >= 400 and < 500 => phase < SmtpPhase.Rcpt ? DeliveryOutcome.ServerAway : DeliveryOutcome.Deferred, // up to MAIL no answer is about one letter
        _ => phase == SmtpPhase.Dot ? DeliveryOutcome.Unknown : DeliveryOutcome.ServerAway,
    };

    // A sender's quota. RFC 3463: x.4.5 congestion, in use for daily limits; IANA: x.7.28 mail flood. 452 is storage or quota (RFC 5321, 4.2.3), unless
    // its enhanced code says the recipient's mailbox (x.2), the server's disk (x.3) or the recipients of one letter (x.5). A bare 454 is a throttle: it
    // has a meaning of its own at AUTH and STARTTLS alone (RFC 4954, RFC 3207). At RCPT both, when bare, are about the recipient.
    private static bool IsQuota(SmtpPhase phase, int code, Match enhanced) => enhanced.Success
        ? enhanced.Groups["rest"].Value is "4.5" or "7.28" || (code == 452 && enhanced.Groups["rest"].Value[0] is not ('2' or '3' or '5'))
        : code is 452 or 454 && phase != SmtpPhase.Rcpt;

    // RFC 3463, 2, as RFC 2034 puts it in front of the text.
    [GeneratedRegex(@"^[245]\.(?<rest>\d{1,3}\.\d{1,3})\b", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex EnhancedCode();
}
