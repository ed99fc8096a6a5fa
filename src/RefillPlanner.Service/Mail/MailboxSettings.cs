namespace RefillPlanner.Service.Mail;

/// <summary>The mailbox to which answers and delivery reports come, read by IMAP.</summary>
public sealed record MailboxSettings
{
    /// <summary>IMAP server; null: no mailbox is read.</summary>
    public string? Host { get; init; }

    /// <summary>Port of the server.</summary>
    public int Port { get; init; } = 993;

    /// <summary>How the connection is protected.</summary>
    public MailSecurity Security { get; init; } = MailSecurity.SslOnConnect;

    /// <summary>User name.</summary>
    public string? User { get; init; }

    /// <summary>File that holds the password, readable by its owner only; null: it comes from elsewhere, see <see cref="MailPassword"/>.</summary>
    public string? PasswordFile { get; init; }

    /// <summary>File with the certificate of a private authority (PEM); null: the system's.</summary>
    public string? RootCertificateFile { get; init; }

    /// <summary>Folder that is read.</summary>
    public string Folder { get; init; } = "INBOX";
}
