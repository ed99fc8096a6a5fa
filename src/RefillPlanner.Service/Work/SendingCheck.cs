using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>A message marked as being sent, with the letter to be sent.</summary>
/// <param name="Before">The message as it was before it was marked: queued or unknown.</param>
/// <param name="Marked">The message as it is marked.</param>
/// <param name="Letter">The very bytes.</param>
/// <param name="Site">The site it is sent for; null: the service as a whole.</param>
public sealed record ClaimedMessage(MessageOnRecord Before, MessageOnRecord Marked, MimeKit.MimeMessage Letter, Site? Site);

/// <summary>
/// The last look before a message is sent, in the transaction that marks it: whether it may still go - in time, wanted, agreed to, inside the
/// patient's hours. Its letter is made to the end before anything is marked.
/// </summary>
public sealed class SendingCheck(Desk desk, PatientLetters letters)
{
    /// <summary>Why a message expired whose time has passed.</summary>
    public const string TooLate = "its time passed before it could go";

    // Of its own: mail is sent while others plan.
    private readonly PatientPlanning _planning = new(desk);

    /// <summary>An instant that never comes.</summary>
    public static readonly Instant Never = Instant.FromUtc(9999, 1, 1, 0, 0);

    /// <summary>Marks a message as being sent if it may go; null: it may not, now or ever, and is marked so.</summary>
    public ClaimedMessage? Claim(StoreTransaction transaction, MessageKey key, Instant now)
    {
        var message = transaction.Outbox.Find(key);
        if (message is null || message.State is not (MessageState.Queued or MessageState.Unknown) || message.NextAttemptAt > now)
            return null;
        var snapshot = message.Message is { Kind: MessageKind.PatientNotice, PatientId: string patientId } ? transaction.Snapshots.Find(patientId) : null;
        if (snapshot is not null && now < message.Message.ExpiresAt && FindLaterHour(snapshot, now) is Instant later)
        {
            transaction.Outbox.PutOff(message, later);
            return null;
        }

        if (Judge(transaction, message.Message, snapshot, now) is (var state, string why))
            return Close(transaction, message, state, now, why);
        message = WithoutWhatIsDone(transaction, message, snapshot, now);
        var site = message.Message.SiteId is string siteId ? transaction.Snapshots.ReadReference().Sites[siteId] : null;
        if (MimeLetter.Find(message.Message, site, desk.Settings.Mail) is not MimeKit.MimeMessage letter)
            return Close(transaction, message, MessageState.Suppressed, now, "its address cannot be used");
        return new ClaimedMessage(message, transaction.Outbox.Claim(message, now, now + SendingWaits.Lease), letter, site);
    }

    // One whose fate is unknown stays so: it may have gone.
    private static ClaimedMessage? Close(StoreTransaction transaction, MessageOnRecord message, MessageState state, Instant now, string why)
    {
        if (message.State == MessageState.Unknown)
            transaction.Outbox.PutOff(message, Never);
        else
            transaction.Outbox.Move(message, state, now, Never, why);
        return null;
    }

    // The start of the patient's next sending window when it is closed now; null: it is open.
    private Instant? FindLaterHour(PatientSnapshot snapshot, Instant now)
    {
        var hour = Hours(snapshot, now).NextPatientHour(now);
        return hour > now ? hour : null;
    }

    private WorkHours Hours(PatientSnapshot snapshot, Instant now)
    {
        var site = snapshot.Courses[0].Site;
        return new WorkHours(site, snapshot.Patient, desk.Settings.PolicyOf(site.Id), Desk.Today(site, now));
    }

    // Why a message may not go any more; null: it may.
    private (MessageState State, string Why)? Judge(StoreTransaction transaction, OutgoingMessage message, PatientSnapshot? snapshot, Instant now)
    {
        if (now >= message.ExpiresAt)
            return (MessageState.Expired, TooLate);
        if (message.TaskKeys.Count > 0 && message.TaskKeys.All(key => !IsOpen(transaction, key)))
            return (MessageState.Expired, "what it asks for is done or no longer needed");
        if (message.Kind != MessageKind.PatientNotice)
            return null;
        if (snapshot is null || !snapshot.Patient.MayBeMailed || snapshot.Patient.Email != message.To)
            return (MessageState.Suppressed, "no agreement to e-mail, opted out, or no longer cared for at home");
        var hours = Hours(snapshot, now);
        return IsLapsed(snapshot, hours.Today.PlusDays(-hours.Policy.LapsedDays), hours.Today, now)
            ? (MessageState.Suppressed, $"lapsed: no fill and no covered dose for more than {hours.Policy.LapsedDays} days")
            : null;
    }

    // No fill and no covered dose since a day. A fill is on record; what was covered has to be worked out, which most often is not called for.
    private bool IsLapsed(PatientSnapshot snapshot, LocalDate since, LocalDate today, Instant now)
    {
        LocalDate?[] fills = [.. snapshot.Courses.SelectMany(course => KnownFacts.List(course.Facts, today)).Where(fact => fact.Kind == FactKind.Dispensed).Select(fact => (LocalDate?)fact.On)];
        if (fills.Max() >= since)
            return false;
        var lastSeen = _planning.Work(snapshot, now).Plan.Courses.Select(course => course.LastGivenOn).Concat(fills).Max();
        return lastSeen < since;
    }

    // A mail merged from several needs says nothing of those that were met meanwhile. One that may have gone already is not changed.
    private MessageOnRecord WithoutWhatIsDone(StoreTransaction transaction, MessageOnRecord message, PatientSnapshot? snapshot, Instant now)
    {
        if (snapshot is null || message.Attempts > 0 || message.Message.TaskKeys.All(key => IsOpen(transaction, key)))
            return message;
        var open = message.Message.TaskKeys.Select(transaction.Tasks.Find).OfType<TaskOnRecord>().Where(task => TaskLife.IsOpen(task.State)).Select(task => task.Task).ToArray();
        var (plan, hours) = _planning.Work(snapshot, now);
        return transaction.Outbox.Rewrite(message, letters.Compose(snapshot, plan, hours, open, message.Message.NotBefore, now));
    }

    private static bool IsOpen(StoreTransaction transaction, TaskKey key) => transaction.Tasks.Find(key) is { } task && TaskLife.IsOpen(task.State);
}
