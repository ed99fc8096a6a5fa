using System;
using System.IO;
using MimeKit;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// What one arrived mail asks this program to do. Most mails ask nothing: they are for the person who reads the mailbox, and no mail is ever
/// answered.
/// </summary>
public abstract record ReturnedMail
{
    private const int DeepestPart = 16;

    private ReturnedMail()
    {
    }

    /// <summary>A mail server reports that it could not deliver a message, and will not try again.</summary>
    /// <param name="Hash">What the message's Message-ID, or the envelope id, begins with, up to its @.</param>
    /// <param name="Detail">Status and diagnosis in one line of at most 300 characters, without control characters. Names the address.</param>
    public sealed record Failure(string Hash, string Detail) : ReturnedMail;

    /// <summary>A person asks for no more mail.</summary>
    /// <param name="Hash">What the Message-ID of the mail that is answered begins with; null: the subject names none.</param>
    /// <param name="From">The sender's address; null: there is none, or more than one.</param>
    public sealed record OptOut(string? Hash, string? From) : ReturnedMail;

    /// <summary>Reads the bytes of an arrived mail, whatever they are.</summary>
    /// <returns>What is to be done; null: nothing, or it cannot be read.</returns>
    public static ReturnedMail? Read(byte[] bytes)
    {
        try
        {
            using var stream = new MemoryStream(bytes, writable: false);
            using var mail = MimeMessage.Load(new ParserOptions { MaxMimeDepth = DeepestPart }, stream);
            return DeliveryReport.Is(mail) ? DeliveryReport.Read(mail) : ReadOptOut(mail);
        }
        catch (Exception unreadable) when (unreadable is FormatException or ArgumentException or InvalidOperationException or NotSupportedException or IOException or TimeoutException)
        {
            return null;
        }
    }

    private static OptOut? ReadOptOut(MimeMessage mail)
    {
        var subject = OptOutSubject.Read(mail.Subject ?? string.Empty);
        if (!AutomaticMail.IsUnsubscribeButton(mail) && (!subject.AsksForNoMore || AutomaticMail.Is(mail)))
            return null;
        var from = mail.From.Count == 1 && mail.From[0] is MailboxAddress { Address.Length: > 0 } sender ? sender.Address : null;
        return subject.Hash is null && from is null ? null : new OptOut(subject.Hash, from);
    }
}
