using System;
using System.IO;
using System.Threading;
using System.Threading.Tasks;

namespace RefillPlanner.Service.Mail;

/// <summary>The mailbox to which answers and delivery reports come, read by IMAP.</summary>
public sealed record MailboxSettings
{
    /// <summary>Environment variable with the password, for where no file names it.</summary>
    public const string PasswordVariable = "REFILL_PLANNER_MAILBOX_PASSWORD";

    private const string Credential = "mailbox_password";

    /// <summary>IMAP server; null: no mailbox is read.</summary>
    public string? Host { get; init; }

    /// <summary>Port of the server.</summary>
    public int Port { get; init; } = 993;

    /// <summary>How the connection is protected.</summary>
    public MailSecurity Security { get; init; } = MailSecurity.SslOnConnect;

    /// <summary>User name.</summary>
    public string? User { get; init; }

    /// <summary>File that holds the password, readable by its owner only; null: systemd's credentials or the environment hold it.</summary>
    public string? PasswordFile { get; init; }

    /// <summary>File with the certificate of a private authority (PEM); null: the system's.</summary>
    public string? RootCertificateFile { get; init; }

    /// <summary>Folder that is read.</summary>
    public string Folder { get; init; } = "INBOX";

    /// <summary>The password: from the file, else from systemd's credentials, else from the environment; empty: none of them has it.</summary>
    public async Task<string> ReadPasswordAsync(CancellationToken cancellation)
    {
        var credentials = Environment.GetEnvironmentVariable("CREDENTIALS_DIRECTORY") is { Length: > 0 } folder ? Path.Combine(folder, Credential) : null;
        if ((PasswordFile ?? (File.Exists(credentials) ? credentials : null)) is string file)
            return (await File.ReadAllTextAsync(file, cancellation)).TrimEnd('\r', '\n');
        return Environment.GetEnvironmentVariable(PasswordVariable) ?? string.Empty;
    }
}
