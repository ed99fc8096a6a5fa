using System;
using System.Linq;
using System.Text;
using MimeKit;
using MimeKit.Utils;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;

namespace RefillPlanner.Service.Mail;

/// <summary>The very bytes of a message: the same message gives the same bytes, and the same Message-ID, each time.</summary>
public static class MimeLetter
{
    private const string ServiceName = "RefillPlanner";

    /// <summary>Makes the letter.</summary>
    /// <param name="message">What was decided.</param>
    /// <param name="site">The site it is sent for; null: the service as a whole.</param>
    /// <param name="settings">Sender and reply address.</param>
    /// <returns>Null: its address cannot be used. An empty one could be parsed, and is none.</returns>
    public static MimeMessage? Find(OutgoingMessage message, Site? site, MailSettings settings)
    {
        if (string.IsNullOrWhiteSpace(message.To) || !MailboxAddress.TryParse(message.To, out var to) || !to.Address.Contains('@', StringComparison.Ordinal))
            return null;
        var from = site?.SenderEmail ?? settings.From;
        var name = site?.Name ?? ServiceName;
        var hash = message.MessageId[..message.MessageId.IndexOf('@', StringComparison.Ordinal)];
        var letter = new MimeMessage();
        letter.From.Add(new MailboxAddress(name, from));
        letter.ReplyTo.Add(new MailboxAddress(name, settings.ReplyTo ?? site?.StaffEmail ?? from));
        letter.To.Add(to);
        letter.Subject = message.Subject;
        letter.Date = message.DecidedAt.ToDateTimeOffset();
        letter.MessageId = message.MessageId;
        letter.Headers.Add("Auto-Submitted", "auto-generated");
        letter.Headers.Add("Content-Language", message.LanguageTag);
        if (message.Kind == MessageKind.PatientNotice)
            letter.Headers.Add("List-Unsubscribe", $"<mailto:{letter.ReplyTo.Mailboxes.First().Address}?subject=STOP%20{hash}>");
        var boundary = $"part-{hash}";
        letter.Body = new MultipartAlternative
        {
            Text("plain", message.Text),
            WithPictures(Text("html", message.Html), message.Html, boundary),
        };
        ((Multipart)letter.Body).Boundary = boundary;
        return letter;
    }

    // The pictures to which the HTML refers go with it (RFC 2387); a letter without pictures has no such part.
    private static MimeEntity WithPictures(TextPart html, string text, string boundary)
    {
        var pictures = LetterPictures.List(text);
        if (pictures.Count == 0)
            return html;
        var related = new MultipartRelated { html };
        foreach (var picture in pictures)
            related.Add(picture);
        related.Boundary = $"{boundary}-pictures";
        return related;
    }

    private static TextPart Text(string subtype, string text)
    {
        var part = new TextPart(subtype) { ContentTransferEncoding = ContentEncoding.QuotedPrintable };
        part.SetText(Encoding.UTF8, text);
        return part;
    }
}
