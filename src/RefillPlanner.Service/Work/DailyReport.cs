using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>Once a day, a report to the person who runs the service, where one is named in the settings.</summary>
public sealed class DailyReport(Desk desk, MailComposer composer)
{
    private static readonly Duration NotReachedFor = Duration.FromDays(30);

    /// <summary>Writes it, once a day by Greenwich: its key is the date.</summary>
    public void Do()
    {
        if (desk.Settings.Mail.ServiceTo is null)
            return;
        var now = desk.Now;
        var today = now.InUtc().Date;
        using (var reading = desk.Database.Read())
        {
            if (reading.Outbox.Has(MailComposer.ReportKey(today)))
                return;
        }

        using var transaction = desk.Database.Begin();
        transaction.Outbox.Add(composer.Compose(Of(transaction, today, now), today, now));
        transaction.Commit();
    }

    private static ServiceReport Of(StoreTransaction transaction, LocalDate today, Instant now) => new()
    {
        Day = DateText.Full(today),
        Accepted = transaction.Outbox.CountSince(MessageState.Accepted, today.PlusDays(-1).AtStartOfDayInZone(DateTimeZone.Utc).ToInstant()),
        NotAccepted = transaction.Outbox.CountNotAccepted(now - NotReachedFor),
        Waiting = transaction.Outbox.Count(MessageState.Queued),
        Pauses = [.. transaction.Pauses.List().Where(pause => pause.IsInForce(now)).Select(pause => pause.Say(DateTimeZone.Utc))],
        AuditHead = transaction.Audit.FindHead(),
    };
}
