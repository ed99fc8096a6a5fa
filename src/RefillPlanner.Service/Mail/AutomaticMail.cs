using System;
using System.Linq;
using MimeKit;

namespace RefillPlanner.Service.Mail;

/// <summary>Tells mail that a program wrote from mail that a person did.</summary>
public static class AutomaticMail
{
    private static readonly string[] BulkWords = ["bulk", "auto_reply", "list", "junk"];

    /// <summary>Whether a program wrote it, such as the answer of somebody who is on holiday.</summary>
    public static bool Is(MimeMessage mail) =>
        mail.Body is { ContentType: var type } && type.IsMimeType("multipart", "report")
        || (mail.Headers["Auto-Submitted"] is string submitted && !IsNo(submitted)) // RFC 3834, section 5: any value but "no"
        || (mail.Headers["Precedence"] is string precedence && BulkWords.Contains(precedence.Trim(), StringComparer.OrdinalIgnoreCase))
        || mail.Headers.Contains("X-Auto-Response-Suppress")
        || (mail.Headers["Return-Path"] is string path && path.Trim() is "<>" or ""); // RFC 5321, section 4.5.5: what must not be answered

    /// <summary>
    /// Whether a reader pressed the button "Unsubscribe" of a mail program that marks such mail with a header of its own. It marks that mail as an automatic answer, but a person asked for
    /// it (as in sisimai/set-of-emails, maildir/bsd/arf-26.eml).
    /// </summary>
    public static bool IsUnsubscribeButton(MimeMessage mail) => mail.Headers["X-Apple-Unsubscribe"]?.Trim() is "true";

    // "no", with or without a comment or parameters (RFC 3834, section 5).
    private static bool IsNo(string value) => value.Split(';', '(')[0].Trim().Equals("no", StringComparison.OrdinalIgnoreCase);
}
