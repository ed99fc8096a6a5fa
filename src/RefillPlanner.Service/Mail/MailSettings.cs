using System;
using System.Net;

namespace RefillPlanner.Service.Mail;

/// <summary>How the connection to the mail server is protected. There is no "if available": what is stripped must fail.</summary>
public enum MailSecurity
{
    /// <summary>Plain text on connecting, then TLS demanded before anything else.</summary>
    StartTls,

    /// <summary>TLS from the first byte.</summary>
    SslOnConnect,

    /// <summary>No protection: to a loopback address only.</summary>
    Plain,
}

/// <summary>Where mail goes: a mail server, or a folder.</summary>
public sealed record MailSettings
{
    /// <summary>Mail server; null: mail is dropped into a folder.</summary>
    public string? Host { get; init; }

    /// <summary>Port of the mail server.</summary>
    public int Port { get; init; } = 587;

    /// <summary>How the connection is protected.</summary>
    public MailSecurity Security { get; init; }

    /// <summary>User name; null: none.</summary>
    public string? User { get; init; }

    /// <summary>File that holds the password, readable by its owner only; null: it comes from elsewhere, see <see cref="MailPassword"/>.</summary>
    public string? PasswordFile { get; init; }

    /// <summary>File with the certificate of a private authority (PEM); null: the system's.</summary>
    public string? RootCertificateFile { get; init; }

    /// <summary>Address from which mail is sent, where the site names none.</summary>
    public string From { get; init; } = "refill-planner@pharmacy.invalid";

    /// <summary>Address of a person who reads answers; null: the sender's.</summary>
    public string? ReplyTo { get; init; }

    /// <summary>Address of the person who runs the service, who is told what only a person can mend; null: none.</summary>
    public string? ServiceTo { get; init; }

    /// <summary>Whether a host is this machine itself.</summary>
    public static bool IsLoopback(string host) =>
        host == "localhost" || (IPAddress.TryParse(host, out var address) && IPAddress.IsLoopback(address));

    /// <summary>Refuses clear text to another machine.</summary>
    /// <exception cref="ArgumentException">The settings ask for it.</exception>
    public static void RefuseClearText(MailSettings settings)
    {
        if (settings.Security == MailSecurity.Plain && !IsLoopback(settings.Host!))
            throw new ArgumentException($"Mail is not sent in clear text to {settings.Host}: use StartTls or SslOnConnect.", nameof(settings));
    }
}
