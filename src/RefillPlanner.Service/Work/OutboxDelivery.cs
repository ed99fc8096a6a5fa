using System;
using System.Collections.Concurrent;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Sends what is in the outbox. Each message is durably marked <c>sending</c>, with a lease, before the mail server is spoken to, and marked again
/// with the answer. Several connections send side by side; marks become durable in groups, by one writer at a time.
/// </summary>
public sealed class OutboxDelivery(Desk desk, SendingCheck check, MailPauses pauses, MailRoutes routes)
{
    private const int MostInGroup = 10;
    private const int MostAtOnce = 500;

    // A stop waits so long for the messages in hand; the process has 25 seconds in all.
    private static readonly TimeSpan PatienceOfAStop = TimeSpan.FromSeconds(15);
    private static readonly Duration AfterAFault = Duration.FromMinutes(30);

    private readonly Lock _writing = new();
    private readonly List<Answer> _unmarked = [];
    private readonly HashSet<MessageKey> _inHand = [];
    private Action<DeliveryOutcome>? _tell;

    /// <summary>
    /// What a killed run left as <c>sending</c> may have gone: it becomes <c>unknown</c>, to be tried once more. To be called at start, before
    /// anything is sent.
    /// </summary>
    public void Recover() => Recover(SendingCheck.Never, "the program was ended while sending");

    /// <summary>Sends all that may go now; how many were accepted.</summary>
    /// <param name="cancellation">Nothing new is taken; what is in hand is finished, or given up a little later, and the rest stays queued.</param>
    /// <param name="tell">Is told of each message that was durably marked what came of it; null: nobody listens.</param>
    public async Task<int> SendAllAsync(CancellationToken cancellation, Action<DeliveryOutcome>? tell = null)
    {
        _tell = tell;
        lock (_writing)
        {
            Write([]);
            Recover(desk.Now, "it was being sent when its lease ended");
            Expire();
        }

        using var givingUp = new CancellationTokenSource(Timeout.InfiniteTimeSpan, desk.Time);
        await using var stop = cancellation.Register(() => givingUp.CancelAfter(PatienceOfAStop));
        var accepted = 0;
        while (!cancellation.IsCancellationRequested && !pauses.IsInForce())
        {
            var ready = new ConcurrentQueue<MessageKey>(ListReady());
            if (ready.IsEmpty)
                break;
            var connections = int.Clamp((ready.Count + MostInGroup - 1) / MostInGroup, 1, routes.Most);
            var counts = await Task.WhenAll(Enumerable.Range(0, connections).Select(_ => Task.Run(() => SendAsync(ready, cancellation, givingUp.Token), CancellationToken.None)));
            accepted += counts.Sum();
        }

        return accepted;
    }

    private IReadOnlyList<MessageKey> ListReady()
    {
        using var reading = desk.Database.Read();
        return reading.Outbox.ListReady(desk.Now, MostAtOnce);
    }

    // One connection: it takes a group, sends it letter by letter, and marks it in the transaction that takes the next.
    private async Task<int> SendAsync(ConcurrentQueue<MessageKey> ready, CancellationToken stopping, CancellationToken givingUp)
    {
        var accepted = 0;
        var isOpen = true;
        await using var route = routes.Open();
        while (true)
        {
            IReadOnlyList<ClaimedMessage> group;
            lock (_writing)
                group = Write(isOpen && !stopping.IsCancellationRequested ? Take(ready) : []);
            if (group.Count == 0)
                return accepted;
            foreach (var claimed in group)
            {
                var delivery = isOpen && !stopping.IsCancellationRequested && desk.Now + SendingWaits.LeaseNeeded <= claimed.Marked.LeaseUntil ? await TryAsync(route, claimed, givingUp) : null;
                isOpen = isOpen && (delivery is null || pauses.GoesOn(delivery));
                accepted += delivery?.Outcome == DeliveryOutcome.Accepted ? 1 : 0;
                lock (_writing)
                    _unmarked.Add(new Answer(claimed, delivery));
            }
        }
    }

    private static List<MessageKey> Take(ConcurrentQueue<MessageKey> ready)
    {
        var keys = new List<MessageKey>(MostInGroup);
        while (keys.Count < MostInGroup && ready.TryDequeue(out var key))
            keys.Add(key);
        return keys;
    }

    // Null: it was given up before anything was sent.
    private static async Task<Delivery?> TryAsync(IMailRoute route, ClaimedMessage claimed, CancellationToken givingUp)
    {
        Waypoints.Pass(Waypoints.HandingOver);
        try
        {
            var delivery = await route.SendAsync(claimed.Letter, givingUp);
            Waypoints.Pass(Waypoints.Answered);
            return delivery.Detail == Delivery.Stopped ? null : delivery;
        }
        catch (Exception fault) when (fault is not OutOfMemoryException)
        {
            // Nobody knows how far it came.
            return new Delivery(DeliveryOutcome.Unknown, $"a fault of the program while sending: {fault.GetType().Name}");
        }
    }

    // Marks every answer that is known, whoever got it, and claims messages: one transaction. What is not durable is marked the next time.
    private List<ClaimedMessage> Write(IReadOnlyList<MessageKey> keys)
    {
        if (keys.Count == 0 && _unmarked.Count == 0)
            return [];
        using var transaction = desk.Database.Begin();
        var now = desk.Now;
        if (_unmarked.Count > 0)
            Waypoints.Pass(Waypoints.Marking);
        foreach (var answer in _unmarked)
            Mark(transaction, answer, now);
        if (keys.Count > 0)
            Waypoints.Pass(Waypoints.Claiming);
        var group = keys.Select(key => Claim(transaction, key, now)).OfType<ClaimedMessage>().ToList();
        transaction.Commit();
        if (_unmarked.Count > 0)
            Waypoints.Pass(Waypoints.Marked);
        if (group.Count > 0)
            Waypoints.Pass(Waypoints.Claimed);
        foreach (var answer in _unmarked)
        {
            if (answer.Delivery is Delivery delivery)
                _tell?.Invoke(delivery.Outcome);
        }

        _inHand.ExceptWith(_unmarked.Select(answer => answer.Claimed.Before.Message.Key));
        _inHand.UnionWith(group.Select(claimed => claimed.Before.Message.Key));
        _unmarked.Clear();
        return group;
    }

    private ClaimedMessage? Claim(StoreTransaction transaction, MessageKey key, Instant now)
    {
        try
        {
            return check.Claim(transaction, key, now);
        }
        catch (DamagedRowException damage)
        {
            transaction.Outbox.SetAside(key, now, damage.Message);
        }
        catch (Exception fault) when (PatientPlanning.IsOfPatient(fault))
        {
            transaction.Runs.Add("message", key.Text, now, now, failed: true, $"{fault.GetType().Name}: {fault.Message}");
            if (transaction.Outbox.Find(key) is { State: MessageState.Queued or MessageState.Unknown } message)
                transaction.Outbox.PutOff(message, now + AfterAFault);
        }

        return null;
    }

    private void Mark(StoreTransaction transaction, Answer answer, Instant now)
    {
        var ((before, marked, _, site), delivery) = answer;
        switch (delivery?.Outcome)
        {
            case null or DeliveryOutcome.ServerAway or DeliveryOutcome.AccountRefused or DeliveryOutcome.QuotaReached:
                transaction.Outbox.Release(marked, before, now, delivery?.Detail);
                break;
            case DeliveryOutcome.Accepted:
                transaction.Outbox.Move(marked, MessageState.Accepted, now, SendingCheck.Never, delivery.Detail);
                break;
            case DeliveryOutcome.Refused:
                transaction.Outbox.Move(marked, MessageState.Bounced, now, SendingCheck.Never, delivery.Detail);
                BouncedMail.Call(transaction, marked.Message, desk);
                break;
            case DeliveryOutcome.Unknown:
                transaction.Outbox.Move(marked, MessageState.Unknown, now, SendingWaits.AfterUnknown(marked.Attempts, now) ?? SendingCheck.Never, delivery.Detail);
                break;
            default:
                // One that may have gone before stays unknown until its retry has ended.
                transaction.Outbox.Move(marked, before.State, now, SendingWaits.AfterDeferred(marked.Message.Key, marked.Attempts, now), delivery.Detail);
                break;
        }

        if (delivery is not null)
            pauses.Learn(transaction, delivery, site, now);
    }

    private void Recover(Instant leasedUntil, string why)
    {
        IReadOnlyList<MessageKey> lapsed;
        using (var reading = desk.Database.Read())
            lapsed = [.. reading.Outbox.ListLeasedUntil(leasedUntil).Where(key => !_inHand.Contains(key))];
        if (lapsed.Count == 0)
            return;
        using var transaction = desk.Database.Begin();
        Waypoints.Pass(Waypoints.Recovering);
        foreach (var key in lapsed)
            RecoverOne(transaction, key, why);
        transaction.Commit();
        Waypoints.Pass(Waypoints.Recovered);
    }

    // Also while nothing is sent: staff must see what did not go in its time.
    private void Expire()
    {
        IReadOnlyList<MessageKey> late;
        using (var reading = desk.Database.Read())
            late = reading.Outbox.ListOutOfTime(desk.Now);
        if (late.Count == 0)
            return;
        using var transaction = desk.Database.Begin();
        var now = desk.Now;
        foreach (var key in late)
            MoveOne(transaction, key, _ => transaction.Outbox.Move(key, MessageState.Expired, now, SendingCheck.Never, SendingCheck.TooLate));
        transaction.Commit();
    }

    private void RecoverOne(StoreTransaction transaction, MessageKey key, string why) => MoveOne(
        transaction,
        key,
        now => transaction.Outbox.Move(key, MessageState.Unknown, now, SendingWaits.AfterUnknown(transaction.Outbox.Find(key)!.Attempts, now) ?? SendingCheck.Never, why));

    private void MoveOne(StoreTransaction transaction, MessageKey key, Action<Instant> move)
    {
        var now = desk.Now;
        try
        {
            move(now);
        }
        catch (DamagedRowException damage)
        {
            transaction.Outbox.SetAside(key, now, damage.Message);
        }
    }

    // What came of a claimed message; no delivery: it was not tried.
    private sealed record Answer(ClaimedMessage Claimed, Delivery? Delivery);
}
