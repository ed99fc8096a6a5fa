using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Settings;

/// <summary>One setting of the mailbox: its key, its range in words, how it is read and shown.</summary>
/// <param name="Key">Its key.</param>
/// <param name="Range">What it may be.</param>
/// <param name="Read">The settings with the value; null when the value will not do.</param>
/// <param name="Show">The value as it is shown; secrets never are.</param>
public sealed record MailboxKey(string Key, string Range, Func<MailboxSettings, string, MailboxSettings?> Read, Func<MailboxSettings, string> Show)
{
    /// <summary>Why a value will not do, where the range alone does not say it; null: it does.</summary>
    public Func<string, string?> WhyNot { get; init; } = _ => null;

    /// <summary>What a value that will not do should have been, and why this one is not.</summary>
    public string Explain(string value) => WhyNot(value) is string reason ? $"{Range}: {reason}" : Range;
}

/// <summary>All settings of the mailbox.</summary>
public static class MailboxKeys
{
    /// <summary>The keys, by name.</summary>
    public static readonly IReadOnlyDictionary<string, MailboxKey> All = new[]
    {
        new MailboxKey("host", "name or address of the IMAP server; left out: no mailbox is read", (box, text) => text.Trim().Length > 0 ? box with { Host = text.Trim() } : null, box => box.Host ?? string.Empty),
        new MailboxKey("port", "a whole number from 1 to 65535", (box, text) => int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var port) && port is > 0 and <= 65535 ? box with { Port = port } : null, box => box.Port.ToString(CultureInfo.InvariantCulture)),
        new MailboxKey("security", "StartTls, SslOnConnect, or Plain to this machine itself", (box, text) => Enum.GetNames<MailSecurity>().Contains(text) ? box with { Security = Enum.Parse<MailSecurity>(text) } : null, box => box.Security.ToString()),
        new MailboxKey("user", "user name", (box, text) => text.Trim().Length > 0 ? box with { User = text } : null, box => box.User ?? string.Empty),
        new MailboxKey("password_file", "a file that only its owner may read", (box, text) => MailPassword.WhyRefused(text) is null ? box with { PasswordFile = text } : null, box => box.PasswordFile is null ? string.Empty : "****") { WhyNot = MailPassword.WhyRefused },
        new MailboxKey("root_certificate_file", "a file that is there", (box, text) => File.Exists(text) ? box with { RootCertificateFile = text } : null, box => box.RootCertificateFile ?? string.Empty),
        new MailboxKey("folder", "name of the folder that is read", (box, text) => text.Trim().Length > 0 ? box with { Folder = text } : null, box => box.Folder),
    }.ToDictionary(key => key.Key);

    /// <summary>What is wrong with the settings together; null: nothing.</summary>
    public static string? FindFault(MailboxSettings box) => box switch
    {
        { Host: null } when box != new MailboxSettings() => "mailbox.host: is missing; without it no mailbox is read, so name the IMAP server or leave the section out",
        { Host: string host, Security: MailSecurity.Plain } when !MailSettings.IsLoopback(host) => $"mailbox.security: Plain is for this machine itself only, not for {host}",
        { Host: not null, User: null } => "mailbox.user: is missing; name the user to whom the mailbox belongs",
        _ => null,
    };
}
