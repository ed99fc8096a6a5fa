using System;
using System.Collections.Generic;
using System.Linq;
using System.Text.RegularExpressions;
using MimeKit;
using MimeKit.Utils;

namespace RefillPlanner.Service.Mail;

/// <summary>A mail server's report of what became of a message (RFC 3464).</summary>
public static class DeliveryReport
{
    private const int LongestDetail = 300;
    private const int LongestField = 5000;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(1);

    /// <summary>Whether a mail is one: multipart/report at the top (RFC 3464, section 2), for delivery status.</summary>
    public static bool Is(MimeMessage mail) =>
        mail.Body is Multipart report && report.ContentType.IsMimeType("multipart", "report")
        && (report.ContentType.Parameters["report-type"] ?? "delivery-status").Trim().Equals("delivery-status", StringComparison.OrdinalIgnoreCase);

    /// <summary>The failure that it reports; null: none that is final, or it names no message.</summary>
    public static ReturnedMail.Failure? Read(MimeMessage mail)
    {
        var parts = ((Multipart)mail.Body!).ToList();
        if (parts.OfType<MessageDeliveryStatus>().FirstOrDefault() is not MessageDeliveryStatus status)
            return null;

        // Fields of a recipient (RFC 3464, section 2.3). Delayed, delivered, relayed and expanded are no failures.
        var failed = status.StatusGroups.FirstOrDefault(fields => Word(fields["Action"]).Equals("failed", StringComparison.OrdinalIgnoreCase));
        return failed is not null && FindHash(parts, status.StatusGroups) is string hash ? new ReturnedMail.Failure(hash, Describe(failed)) : null;
    }

    // The original's Message-ID decides when it is there, else the envelope id with which it was sent (RFC 3464, section 2.2.1).
    private static string? FindHash(IReadOnlyList<MimeEntity> parts, IEnumerable<HeaderList> groups)
    {
        if (parts.OfType<MessagePart>().Select(part => part.Message?.Headers[HeaderId.MessageId]).FirstOrDefault(id => id is not null) is string messageId)
            return MimeUtils.ParseMessageId(messageId) is string id ? HashAtStart(id) : null;
        return groups.Select(fields => fields["Original-Envelope-Id"]).FirstOrDefault(id => id is not null) is string envelopeId ? HashAtStart(Word(envelopeId)) : null;
    }

    private static string? HashAtStart(string id) => MessageIdHash.Find(id.Split('@')[0]);

    // "smtp; 550 5.1.1 <...>: no such user" is the type and the text of the diagnosis (RFC 3464, section 2.3.6).
    private static string Describe(HeaderList fields)
    {
        var status = OneLine(Word(fields["Status"]));
        var diagnosis = OneLine(fields["Diagnostic-Code"] ?? string.Empty);
        var type = diagnosis.IndexOf(';', StringComparison.Ordinal);
        var text = type < 0 ? diagnosis : diagnosis[(type + 1)..].TrimStart();
        var detail = (status.Length > 0 ? $"Status {status}" : "Not delivered") + (text.Length > 0 ? $"; {text}" : string.Empty);
        return detail.Length <= LongestDetail ? detail : detail[..(char.IsHighSurrogate(detail[LongestDetail - 1]) ? LongestDetail - 1 : LongestDetail)];
    }

    // A field's value without comments in brackets.
    private static string Word(string? value) => Regex.Replace(value ?? string.Empty, @"\([^()]*\)", string.Empty, RegexOptions.None, Patience).Trim();

    // Spaces for whatever breaks a line; nothing for what is not seen but changes what is.
    private static string OneLine(string text)
    {
        var spaced = Regex.Replace(text.Length <= LongestField ? text : text[..LongestField], @"[\s\p{Zl}\p{Zp}]+", " ", RegexOptions.None, Patience);
        return Regex.Replace(spaced, @"\p{C}", string.Empty, RegexOptions.None, Patience).Trim();
    }
}
