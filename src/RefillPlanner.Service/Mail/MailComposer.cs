using System;
using System.Collections.Generic;
using System.Security.Cryptography;
using System.Text;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Service.Mail;

/// <summary>Turns what is to be said into a message rendered to its end. No subject names a patient, a medicine or a dose.</summary>
/// <param name="templates">The texts.</param>
/// <param name="settings">The sender's address, where a site names none.</param>
public sealed class MailComposer(MailTemplates templates, MailSettings settings)
{
    private static readonly Duration Lifetime = Duration.FromDays(4);

    /// <summary>The refill-due list, to staff.</summary>
    public OutgoingMessage Compose(MorningList list, Site site, Instant now) => new()
    {
        Key = MessageKey.Of(MessageKind.MorningList, site.Id, list.On),
        MessageId = MessageId(MessageKey.Of(MessageKind.MorningList, site.Id, list.On), site),
        Kind = MessageKind.MorningList,
        SiteId = site.Id,
        To = site.StaffEmail,
        LanguageTag = "en-US",
        Subject = $"Refill-due list, {list.Day}",
        Text = templates.Render("morning-list.txt", "list", list),
        Html = templates.Render("morning-list.html", "list", list),
        DecidedAt = now,
        NotBefore = now,
        ExpiresAt = now + Duration.FromDays(1),
    };

    /// <summary>The alert before a dose increase, to the pharmacist, or once the date has come to the manager as well.</summary>
    public OutgoingMessage Compose(StepUpAlert alert, CourseSnapshot course, TaskKey task, bool isToManager, LocalDate today, Instant now)
    {
        var key = MessageKey.Of(MessageKind.StepUpAlert, isToManager ? $"{course.Course.Id}/manager" : course.Course.Id, today);
        return new OutgoingMessage
        {
            Key = key,
            MessageId = MessageId(key, course.Site),
            Kind = MessageKind.StepUpAlert,
            SiteId = course.Site.Id,
            PatientId = course.Patient.Id,
            TaskKeys = [task],
            To = isToManager ? course.Site.ManagerEmail : course.Site.PharmacistEmail,
            LanguageTag = "en-US",
            Subject = $"A dose increase waits for your check by {alert.CheckBy}",
            Text = templates.Render("step-up-alert.txt", "alert", alert),
            Html = templates.Render("step-up-alert.html", "alert", alert),
            DecidedAt = now,
            NotBefore = now,
            ExpiresAt = now + Lifetime,
        };
    }

    /// <summary>The one mail of a day to a patient.</summary>
    public OutgoingMessage Compose(PatientNotice notice, Patient patient, Site site, IReadOnlyList<TaskKey> tasks, LocalDate today, Instant now)
    {
        var isSpanish = notice.Language == Language.Spanish;
        var language = isSpanish ? "es" : "en";
        var key = MessageKey.Of(MessageKind.PatientNotice, patient.Id, today);
        return new OutgoingMessage
        {
            Key = key,
            MessageId = MessageId(key, site),
            Kind = MessageKind.PatientNotice,
            SiteId = site.Id,
            PatientId = patient.Id,
            TaskKeys = tasks,
            To = patient.MayBeMailed ? patient.Email : null,
            LanguageTag = isSpanish ? "es-US" : "en-US",
            Subject = isSpanish ? $"Un mensaje de {site.Name}" : $"A note from {site.Name}",
            Text = templates.Render($"patient-notice.{language}.txt", "notice", notice),
            Html = templates.Render($"patient-notice.{language}.html", "notice", notice),
            DecidedAt = now,
            NotBefore = now,
            ExpiresAt = now + Lifetime,
        };
    }

    /// <summary>The printed page of a course.</summary>
    public string Page(PatientSheet sheet) => templates.Render($"sheet.{(sheet.Language == Language.Spanish ? "es" : "en")}.html", "sheet", sheet);

    /// <summary>Its dosing days as a calendar (iCalendar). It names no drug and no dose, unless the pharmacy's own template does.</summary>
    /// <param name="sheet">The page.</param>
    /// <param name="site">The site.</param>
    /// <param name="now">When it is made.</param>
    public string Calendar(PatientSheet sheet, Site site, Instant now)
    {
        var calendar = new SheetCalendar(now);
        foreach (var day in sheet.DosingDays)
        {
            var words = templates.Render($"sheet-day.{(sheet.Language == Language.Spanish ? "es" : "en")}.txt", "entry", new SheetEntry(sheet, day));
            calendar.Add(day.On, UniqueName($"sheet/{sheet.Course}/{LocalDatePattern.Iso.Format(day.On)}", site), words);
        }

        return calendar.Write();
    }

    /// <summary>Something that the person who runs the service must mend, once a day and kind.</summary>
    public OutgoingMessage Compose(Pause pause, Instant now)
    {
        var alert = new ServiceAlert($"No mail is sent: {pause.Reason}", InstantPattern.General.Format(pause.Since), pause.WhatToDo);
        return ToService(MessageKey.Of(MessageKind.ServiceAlert, Kebab.Of(pause.Kind), now.InUtc().Date), "RefillPlanner needs you: no mail is sent", "service-alert", "alert", alert, now);
    }

    /// <summary>The key of the report of a day.</summary>
    public static MessageKey ReportKey(LocalDate today) => MessageKey.Of(MessageKind.ServiceAlert, "report", today);

    /// <summary>The report of a day, to the person who runs the service.</summary>
    public OutgoingMessage Compose(ServiceReport report, LocalDate today, Instant now) => ToService(
        ReportKey(today), "RefillPlanner, report of the day", "service-report", "report", report, now);

    private OutgoingMessage ToService(MessageKey key, string subject, string template, string variable, object model, Instant now) => new()
    {
        Key = key,
        MessageId = MessageId(key, site: null),
        Kind = MessageKind.ServiceAlert,
        To = settings.ServiceTo,
        LanguageTag = "en-US",
        Subject = subject,
        Text = templates.Render($"{template}.txt", variable, model),
        Html = templates.Render($"{template}.html", variable, model),
        DecidedAt = now,
        NotBefore = now,
        ExpiresAt = now + Lifetime,
    };

    // Made from the key, so that a copy carries the same; kept on record, so that it stays when the sender's address changes.
    private string MessageId(MessageKey key, Site? site) => UniqueName(key.Text, site);

    // Names nobody: a hash of the meaning, at the sender's domain.
    private string UniqueName(string meaning, Site? site)
    {
        var from = site?.SenderEmail ?? settings.From;
        return $"{Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(meaning)))[..32]}@{from[(from.IndexOf('@', StringComparison.Ordinal) + 1)..]}";
    }
}
