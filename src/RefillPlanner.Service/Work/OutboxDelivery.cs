using System;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Sends what is in the outbox. Each message is durably marked <c>sending</c> before the mail server is spoken to, and marked again with the
/// answer; before the first mark it is checked once more that it may still go.
/// </summary>
public sealed class OutboxDelivery(Desk desk, PatientPlanning planning, IMailRoute route)
{
    private const int MostAtOnce = 500;
    private static readonly Duration Lease = Duration.FromMinutes(15);
    private static readonly Duration UnknownWait = Duration.FromMinutes(15);
    private static readonly Duration LongWait = Duration.FromHours(2);
    private static readonly Duration[] Waits = [Duration.FromMinutes(30), Duration.FromMinutes(30), Duration.FromMinutes(60), Duration.FromMinutes(120)];
    private static readonly Instant Never = Instant.FromUtc(9999, 1, 1, 0, 0);

    /// <summary>
    /// What a killed run left as <c>sending</c> may have gone: it becomes <c>unknown</c>, to be tried once more. To be called before anything is
    /// sent.
    /// </summary>
    public void Recover()
    {
        using var transaction = desk.Database.Begin();
        Waypoints.Pass(Waypoints.Recovering);
        foreach (var message in transaction.Outbox.List(MessageState.Sending))
            transaction.Outbox.Move(message.Message.Key, MessageState.Unknown, desk.Now, NextAfterUnknown(message.Attempts), "the program was ended while sending");
        transaction.Commit();
        Waypoints.Pass(Waypoints.Recovered);
    }

    /// <summary>Sends all that may go now; how many were accepted.</summary>
    public async Task<int> SendAllAsync(CancellationToken cancellation)
    {
        MessageKey[] keys;
        using (var reading = desk.Database.Read())
            keys = [.. reading.Outbox.ListReady(desk.Now, MostAtOnce)];
        var accepted = 0;
        foreach (var key in keys)
        {
            if (cancellation.IsCancellationRequested)
                break;
            if (await SendAsync(key) == DeliveryOutcome.Accepted)
                accepted++;
        }

        return accepted;
    }

    // One message, to its end: a stop waits for it.
    private async Task<DeliveryOutcome?> SendAsync(MessageKey key)
    {
        (MessageOnRecord Message, Site Site)? claimed = null;
        Waypoints.Pass(Waypoints.Claiming);
        if (!planning.Try(key.Text, () => claimed = Claim(key)) || claimed is not (MessageOnRecord message, Site site))
            return null;
        Waypoints.Pass(Waypoints.Claimed);
        Waypoints.Pass(Waypoints.HandingOver);
        var delivery = await route.SendAsync(MimeLetter.Of(message.Message, site, desk.Settings.Mail), CancellationToken.None);
        Waypoints.Pass(Waypoints.Answered);
        using var transaction = desk.Database.Begin();
        var now = desk.Now;
        var attempts = message.Attempts + 1;
        var (state, next) = delivery.Outcome switch
        {
            DeliveryOutcome.Accepted => (MessageState.Accepted, Never),
            DeliveryOutcome.Refused => (MessageState.Bounced, Never),
            DeliveryOutcome.Unknown => (MessageState.Unknown, NextAfterUnknown(attempts)),
            _ => (MessageState.Queued, now + (attempts <= Waits.Length ? Waits[attempts - 1] : LongWait)),
        };
        transaction.Outbox.Move(key, state, now, next, delivery.Detail);
        Waypoints.Pass(Waypoints.Marking);
        transaction.Commit();
        Waypoints.Pass(Waypoints.Marked);
        return delivery.Outcome;
    }

    // Marks a message as sending if it may still go; null: it may not, or somebody else has it.
    private (MessageOnRecord Message, Site Site)? Claim(MessageKey key)
    {
        using var transaction = desk.Database.Begin();
        var now = desk.Now;
        var message = transaction.Outbox.Find(key);
        if (message is null || message.State is not (MessageState.Queued or MessageState.Unknown) || message.NextAttemptAt > now)
            return null;
        var site = transaction.Ledger.ListSites().First(site => site.Id == message.Message.SiteId);
        if (FindLaterHour(transaction, message.Message, now) is Instant later)
        {
            transaction.Outbox.PutOff(message, later);
            transaction.Commit();
            return null;
        }

        var (state, why) = Judge(transaction, message.Message, now);
        if (state != MessageState.Sending && message.State == MessageState.Unknown)
            return null;
        if (state == MessageState.Sending)
            transaction.Outbox.Claim(message, now, now + Lease);
        else
            transaction.Outbox.Move(key, state, now, Never, why);
        transaction.Commit();
        return state == MessageState.Sending ? (message, site) : null;
    }

    // The start of the patient's next sending window when it is closed now; null: it is open, or the message is for no patient.
    private Instant? FindLaterHour(StoreTransaction transaction, OutgoingMessage message, Instant now)
    {
        if (message.Kind != MessageKind.PatientNotice || now >= message.ExpiresAt || transaction.Snapshots.Find(message.PatientId!) is not PatientSnapshot snapshot)
            return null;
        var site = snapshot.Courses[0].Site;
        var hour = new WorkHours(site, snapshot.Patient, desk.Settings.PolicyOf(site.Id), Desk.Today(site, now)).NextPatientHour(now);
        return hour > now ? hour : null;
    }

    // Whether a message may still go: in time, wanted, agreed to.
    private (MessageState State, string? Why) Judge(StoreTransaction transaction, OutgoingMessage message, Instant now)
    {
        if (now >= message.ExpiresAt)
            return (MessageState.Expired, "its time passed before it could go");
        if (message.TaskKeys.Count > 0 && message.TaskKeys.All(key => transaction.Tasks.Find(key) is not { } task || !TaskLife.IsOpen(task.State)))
            return (MessageState.Expired, "what it asks for is done or no longer needed");
        if (message.Kind != MessageKind.PatientNotice || transaction.Snapshots.Find(message.PatientId!) is not PatientSnapshot snapshot)
            return (MessageState.Sending, null);
        if (!snapshot.Patient.MayBeMailed || snapshot.Patient.Email != message.To)
            return (MessageState.Suppressed, "no agreement to e-mail, opted out, or no longer cared for at home");
        var (plan, hours) = planning.Work(snapshot, now);
        var lastSeen = plan.Courses.Select(course => course.LastGivenOn)
            .Concat(snapshot.Courses.SelectMany(course => course.Facts).Where(fact => fact.Kind == FactKind.Dispensed && fact.On <= hours.Today).Select(fact => (LocalDate?)fact.On))
            .Max();
        return lastSeen is LocalDate seen && seen < hours.Today.PlusDays(-hours.Policy.LapsedDays)
            ? (MessageState.Suppressed, $"lapsed: no fill and no covered dose for more than {hours.Policy.LapsedDays} days")
            : (MessageState.Sending, null);
    }

    // One retry, then it stays unknown.
    private Instant NextAfterUnknown(int attempts) => attempts < 2 ? desk.Now + UnknownWait : Never;
}
