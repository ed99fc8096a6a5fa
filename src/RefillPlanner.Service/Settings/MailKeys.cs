using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using MimeKit;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Settings;

/// <summary>One mail setting: its key, its range in words, how it is read and shown.</summary>
/// <param name="Key">Its key.</param>
/// <param name="Range">What it may be.</param>
/// <param name="Read">The settings with the value; null when the value will not do.</param>
/// <param name="Show">The value as it is shown; secrets never are.</param>
public sealed record MailKey(string Key, string Range, Func<MailSettings, string, MailSettings?> Read, Func<MailSettings, string> Show)
{
    /// <summary>Why a value will not do, where the range alone does not say it; null: it does.</summary>
    public Func<string, string?> WhyNot { get; init; } = _ => null;

    /// <summary>What a value that will not do should have been, and why this one is not.</summary>
    public string Explain(string value) => WhyNot(value) is string reason ? $"{Range}: {reason}" : Range;
}

/// <summary>All mail settings.</summary>
public static class MailKeys
{
    /// <summary>The keys, by name.</summary>
    public static readonly IReadOnlyDictionary<string, MailKey> All = new[]
    {
        new MailKey("host", "name or address of the mail server; left out: mail is dropped into a folder", (mail, text) => text.Trim().Length > 0 ? mail with { Host = text.Trim() } : null, mail => mail.Host ?? string.Empty),
        new MailKey("port", "a whole number from 1 to 65535", (mail, text) => int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var port) && port is > 0 and <= 65535 ? mail with { Port = port } : null, mail => mail.Port.ToString(CultureInfo.InvariantCulture)),
        new MailKey("security", "StartTls, SslOnConnect, or Plain to this machine itself", (mail, text) => Enum.GetNames<MailSecurity>().Contains(text) ? mail with { Security = Enum.Parse<MailSecurity>(text) } : null, mail => mail.Security.ToString()),
        new MailKey("user", "user name", (mail, text) => mail with { User = text }, mail => mail.User ?? string.Empty),
        new MailKey("password_file", "a file that only its owner may read", (mail, text) => MailPassword.WhyRefused(text) is null ? mail with { PasswordFile = text } : null, mail => mail.PasswordFile is null ? string.Empty : "****") { WhyNot = MailPassword.WhyRefused },
        new MailKey("root_certificate_file", "a file that is there", (mail, text) => File.Exists(text) ? mail with { RootCertificateFile = text } : null, mail => mail.RootCertificateFile ?? string.Empty),
        new MailKey("from", "an e-mail address", (mail, text) => IsAddress(text) ? mail with { From = text } : null, mail => mail.From),
        new MailKey("reply_to", "an e-mail address", (mail, text) => IsAddress(text) ? mail with { ReplyTo = text } : null, mail => mail.ReplyTo ?? string.Empty),
        new MailKey("service_to", "an e-mail address", (mail, text) => IsAddress(text) ? mail with { ServiceTo = text } : null, mail => mail.ServiceTo ?? string.Empty),
    }.ToDictionary(key => key.Key);

    private static bool IsAddress(string text) => MailboxAddress.TryParse(text, out var mailbox) && mailbox.Address == text && text.Contains('@', StringComparison.Ordinal);
}
