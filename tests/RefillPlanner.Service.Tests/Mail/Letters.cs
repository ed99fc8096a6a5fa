using System;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>Letters of an invented pharmacy for the mail tests.</summary>
internal static class Letters
{
    public static readonly Site Site = new() { Id = "S-1", Name = "Lantern Hollow Pharmacy (invented)", TimeZone = "America/New_York", SenderEmail = "no-reply@example.org", StaffEmail = "staff@example.org", Phone = "555-0100" };

    public static readonly Instant Now = Instant.FromUtc(2026, 3, 2, 14, 0);

    public static readonly LocalDate Today = new(2026, 3, 2);

    public static Patient Patient(Language language) => new()
    {
        Id = "P-1",
        Name = "Marl Quillfeather",
        SiteId = "S-1",
        Email = "marl@example.net",
        EmailAgreedOn = new LocalDate(2026, 1, 1),
        Language = language,
    };

    public static PatientNotice Notice(Language language) => PatientNotice.Of(Patient(language), Site)
        .WithRefill(new LocalDate(2026, 3, 6), Handover.Pickup, Today)
        .WithSharps(new LocalDate(2026, 3, 20), Site, Today)
        .WithDiscard(new LocalDate(2026, 3, 8), new LocalDate(2026, 3, 9), Today);

    public static OutgoingMessage Message(Language language = Language.English) =>
        new MailComposer(new MailTemplates(), new MailSettings()).Compose(Notice(language), Patient(language), Site, [], Today, Now);

    public static string Bytes(MimeKit.MimeMessage letter)
    {
        using var bytes = new System.IO.MemoryStream();
        letter.WriteTo(bytes);
        return System.Text.Encoding.UTF8.GetString(bytes.ToArray());
    }

    public static MimeKit.MimeMessage Letter(Language language = Language.English) => MimeLetter.Of(Message(language), Site, new MailSettings());
}
