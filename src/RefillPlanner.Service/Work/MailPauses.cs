using System;
using System.Linq;
using System.Threading;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// When the fault is not a message's but the server's, our account's or ours, nothing is sent for a while, or until a person has mended it. The
/// person who runs the service is told.
/// </summary>
public sealed class MailPauses(Desk desk, MailComposer composer)
{
    private const string By = OutboxStore.Sender;

    // More refusals in a row than this are our fault rather than that of so many addresses.
    private const int MostRefusals = 3;

    // A mail server that was away so often in a row is worth a word to the person who runs the service.
    private const int TriesUntilTold = 3;
    private static readonly Duration SecondLook = Duration.FromMinutes(5);
    private int _refusalsInARow;
    private bool _hasAny = true;

    /// <summary>Whether anything keeps mail from being sent now.</summary>
    public bool IsInForce()
    {
        using var reading = desk.Database.Read();
        var known = reading.Pauses.List();
        _hasAny = known.Count > 0;
        return known.Any(pause => pause.IsInForce(desk.Now));
    }

    /// <summary>Whether, after what came of a try, a connection may go on with the next message.</summary>
    public bool GoesOn(Delivery delivery)
    {
        if (delivery.Outcome == DeliveryOutcome.Accepted)
            Interlocked.Exchange(ref _refusalsInARow, 0);
        return delivery.Outcome switch
        {
            DeliveryOutcome.ServerAway or DeliveryOutcome.AccountRefused or DeliveryOutcome.QuotaReached => false,
            DeliveryOutcome.Refused => Interlocked.Increment(ref _refusalsInARow) <= MostRefusals,
            _ => true,
        };
    }

    /// <summary>Draws the conclusion from what came of a try: a pause begins, goes on longer than the last one, or is over.</summary>
    /// <param name="transaction">The transaction in which the message is marked.</param>
    /// <param name="delivery">What came of it.</param>
    /// <param name="site">The site it was sent for; null: the service as a whole.</param>
    /// <param name="now">The present instant.</param>
    public void Learn(StoreTransaction transaction, Delivery delivery, Site? site, Instant now)
    {
        switch (delivery.Outcome)
        {
            case DeliveryOutcome.Accepted when _hasAny:
                foreach (var pause in transaction.Pauses.List().Where(pause => pause.Kind is PauseKind.MailServer or PauseKind.MailAccount or PauseKind.MailRefusals))
                    transaction.Pauses.End(pause.Kind, now, By);
                break;
            case DeliveryOutcome.Refused when _refusalsInARow > MostRefusals:
                Begin(transaction, PauseKind.MailRefusals, now, tries => now + SendingWaits.ForRefusals(tries), $"{_refusalsInARow} messages in a row were refused for good, the last with: {delivery.Detail}.", isTold: _ => true);
                break;
            case DeliveryOutcome.ServerAway:
                Begin(transaction, PauseKind.MailServer, now, tries => now + SendingWaits.ForServer(tries), $"the mail server is away ({delivery.Detail}).", isTold: tries => tries == TriesUntilTold);
                break;
            case DeliveryOutcome.AccountRefused:
                Begin(transaction, PauseKind.MailAccount, now, tries => tries < 2 ? now + SecondLook : null, $"the mail server does not take us ({delivery.Detail}).", isTold: tries => tries == 2);
                break;
            case DeliveryOutcome.QuotaReached:
                Begin(transaction, PauseKind.MailAccount, now, _ => NextWindow(site, now), $"the mail server takes no more for today ({delivery.Detail}).", isTold: _ => true);
                break;
        }
    }

    // What several connections find at once is found once.
    private void Begin(StoreTransaction transaction, PauseKind kind, Instant now, Func<int, Instant?> until, string reason, Func<int, bool> isTold)
    {
        var known = transaction.Pauses.List().FirstOrDefault(pause => pause.Kind == kind);
        if (known?.IsInForce(now) == true)
            return;
        _hasAny = true;
        var tries = (known?.Tries ?? 0) + 1;
        var pause = new Pause(kind, known?.Since ?? now, until(tries), tries, reason);
        transaction.Pauses.Put(pause, now, By);
        if (isTold(tries) && desk.Settings.Mail.ServiceTo is not null)
            transaction.Outbox.Add(composer.Compose(pause, now));
    }

    private Instant NextWindow(Site? site, Instant now)
    {
        var zone = site is null ? DateTimeZone.Utc : DateTimeZoneProviders.Tzdb[site.TimeZone];
        var from = (site is null ? desk.Settings.Policy : desk.Settings.PolicyOf(site.Id)).WindowFrom;
        var local = now.InZone(zone);
        var day = local.TimeOfDay < from ? local.Date : local.Date.PlusDays(1);
        return (day + from).InZoneLeniently(zone).ToInstant();
    }
}
