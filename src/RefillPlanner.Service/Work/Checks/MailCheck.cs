using System;
using System.Collections.Generic;
using System.Globalization;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Work.Checks;

/// <summary>The mail server: connected to, greeted, made safe, logged in to, and left without a letter; and its certificate's end.</summary>
public static class MailCheck
{
    private const string Name = "mail";
    private static readonly Duration SoonExpired = Duration.FromDays(21);

    /// <summary>Looks at it.</summary>
    /// <param name="settings">The mail settings.</param>
    /// <param name="time">The clock by which the server is waited for.</param>
    /// <param name="patience">How long it is waited for; null: as long as for a letter.</param>
    public static async Task<IReadOnlyList<CheckRow>> RunAsync(MailSettings settings, TimeProvider time, SmtpPatience? patience = null)
    {
        if (settings.Host is null)
            return [CheckRow.Warn(Name, "no mail server is set: mail is dropped into a folder and reaches nobody", "Set mail.host in the configuration.")];
        var probe = await SmtpProbe.RunAsync(settings, time, CancellationToken.None, patience);
        var seen = $"{settings.Host}: {probe.Detail}";
        var answer = probe.Outcome switch
        {
            DeliveryOutcome.Accepted => CheckRow.Ok(Name, $"{settings.Host} would take mail"),
            DeliveryOutcome.AccountRefused => new CheckRow(Name, CheckVerdict.Away, seen, "Mend certificate, encryption or account in the configuration."),
            DeliveryOutcome.QuotaReached => CheckRow.Warn(Name, seen, "The server takes no more for now; it is tried again by itself."),
            _ => new CheckRow(Name, CheckVerdict.Away, seen, "See whether the mail server runs and can be reached from here."),
        };
        return probe.CertificateNotAfter is Instant end ? [answer, Certificate(end, Instant.FromDateTimeOffset(time.GetUtcNow()))] : [answer];
    }

    private static CheckRow Certificate(Instant end, Instant now)
    {
        const string Renew = "Have the certificate of the mail server renewed: once it has expired, nothing is sent.";
        var seen = string.Create(CultureInfo.InvariantCulture, $"valid for {(long)(end - now).TotalDays} days more");
        return end <= now ? CheckRow.Bad("certificate", "it has expired", Renew) : end - now < SoonExpired ? CheckRow.Warn("certificate", seen, Renew) : CheckRow.Ok("certificate", seen);
    }
}
