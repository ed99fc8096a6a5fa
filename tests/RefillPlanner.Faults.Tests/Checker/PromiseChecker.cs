using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Faults.Tests.Harness;

namespace RefillPlanner.Faults.Tests.Checker;

/// <summary>
/// The promise in eight statements: every due message ends as exactly one of accepted, bounced, expired, unknown, suppressed; all but
/// accepted are on the staff's list; none is lost; a copy is possible only where the connection broke after the final dot. Each statement is a
/// function that names the cases in which it does not hold.
/// </summary>
internal static class PromiseChecker
{
    private const string PatientNotice = "patient-notice";

    // What the one retry of an unknown one makes of it is final.
    private const int UnknownTries = 2;

    // Of a task that is met before its day the audit says that it was due for a moment.
    private const string DoneEarly = "before its day";

    // Of these kinds there are tasks for staff alone, whose key says so.
    private const string ForStaff = ", staff";
    private static readonly string[] KindsForPatients = ["refill-contact", "sharps-return", "discard-notice"];
    private static readonly Duration ListedFor = Duration.FromDays(30);

    // What comes due after the day's one mail waits for the next day.
    private static readonly Duration TakenWithin = Duration.FromHours(24);
    private static readonly LocalTime WindowFrom = new(9, 0);
    private static readonly LocalTime WindowTo = new(19, 0);

    /// <summary>All broken cases of all statements, each beginning with the statement's number.</summary>
    public static IReadOnlyList<string> Run(Evidence evidence) =>
    [
        .. Number(1, StatesOfTasksAndMessages(evidence)),
        .. Number(2, NotAcceptedIsListed(evidence)),
        .. Number(3, Copies(evidence)),
        .. Number(4, NothingToWhomNothingMayGo(evidence)),
        .. Number(5, NothingOutsideTheWindow(evidence)),
        .. Number(6, AuditCheck.Run(evidence.Record)),
        .. Number(7, AcknowledgedFactsSurvive(evidence)),
        .. Number(8, NothingLeaks(evidence)),
    ];

    /// <summary>(1) Every due task is told of, every decided message is in exactly one final state, or still in its time.</summary>
    public static IEnumerable<string> StatesOfTasksAndMessages(Evidence evidence)
    {
        // A message that was not sent yet no longer names a task that was met meanwhile; the audit says that one was written.
        var written = evidence.Record.Audit.Where(row => row.Columns[2] == "task" && row.Columns[5] == "waiting").Select(row => row.Columns[3]!).ToHashSet(StringComparer.Ordinal);
        var told = evidence.Record.Messages.SelectMany(message => message.TaskKeys)
            .Concat(evidence.Record.Tasks.Where(task => task.State is "done" or "withdrawn" && written.Contains(task.Key)).Select(task => task.Key)).ToHashSet(StringComparer.Ordinal);
        var wentOff = evidence.Record.Audit.Where(row => row.Columns[2] == "task" && row.Columns[5] == "due" && row.Columns[6] != DoneEarly).Select(row => row.Columns[3]!).ToHashSet(StringComparer.Ordinal);
        foreach (var task in evidence.Record.Tasks)
        {
            if (task.State == "planned" && task.DueAt < evidence.EndedAt - TakenWithin)
                yield return $"task {task.Key} was due at {task.DueAt} and is still planned";
            if (KindsForPatients.Contains(task.Kind) && !task.Key.EndsWith(ForStaff, StringComparison.Ordinal) && wentOff.Contains(task.Key) && !told.Contains(task.Key))
                yield return $"task {task.Key} became due, and no message says so";
        }

        var taken = evidence.Mails.Select(mail => mail.MessageId).ToHashSet(StringComparer.Ordinal);
        foreach (var message in evidence.Record.Messages)
        {
            if (message.State == "accepted" && !taken.Contains(message.MessageId))
                yield return $"message {message.Key} is accepted, and the mail server never had it";
            if (message.State == "sending")
                yield return $"message {message.Key} is neither sent nor waiting: it is still being sent";
            if (message.State == "queued" && message.ExpiresAt <= evidence.EndedAt)
                yield return $"message {message.Key} is still queued, although its time passed at {message.ExpiresAt}";
            if (message.State == "unknown" && message.Attempts < UnknownTries && message.ExpiresAt <= evidence.EndedAt && message.NextAttemptAt <= evidence.EndedAt)
                yield return $"message {message.Key} is unknown after {message.Attempts} tries, and was not tried again in its time";
        }
    }

    /// <summary>(2) Every message to or about a patient that was not accepted is on the list, and every mail that was taken is on record.</summary>
    public static IEnumerable<string> NotAcceptedIsListed(Evidence evidence)
    {
        foreach (var message in evidence.Record.Messages)
        {
            if (message is { PatientId: not null, State: "bounced" or "expired" or "unknown" or "suppressed" }
                && message.DecidedAt > evidence.EndedAt - ListedFor && !evidence.Listed.Contains(message.Key))
                yield return $"message {message.Key} is {message.State} and not on the list";
        }

        var known = evidence.Record.Messages.Select(message => message.MessageId).ToHashSet(StringComparer.Ordinal);
        foreach (var mail in evidence.Mails.Where(mail => !known.Contains(mail.MessageId)))
            yield return $"a mail to {mail.To} was taken at {mail.At} that is not on record: {mail.MessageId}";
    }

    /// <summary>(3) No more copies than times at which nobody could know.</summary>
    public static IEnumerable<string> Copies(Evidence evidence)
    {
        var ambiguous = evidence.Ambiguous.CountBy(id => id).ToDictionary();
        foreach (var (id, copies) in evidence.Mails.CountBy(mail => mail.MessageId))
        {
            if (copies > 1 + ambiguous.GetValueOrDefault(id))
                yield return $"message {id} was taken {copies} times; nobody could know {ambiguous.GetValueOrDefault(id)} times";
        }
    }

    /// <summary>(4) Nothing went to anybody who opted out, did not agree, lapsed, or whose course or care has stopped.</summary>
    public static IEnumerable<string> NothingToWhomNothingMayGo(Evidence evidence)
    {
        var readers = evidence.Readers.ToLookup(reader => reader.Address);
        return from mail in evidence.Mails
               from reader in readers[mail.To]
               where reader.Forbidden is not null && mail.At >= reader.Since
               select $"a mail went to {mail.To} at {mail.At}: {reader.Forbidden}";
    }

    /// <summary>(5) Nothing went to a patient before 9 in the morning or from 7 in the evening on, where the patient lives.</summary>
    public static IEnumerable<string> NothingOutsideTheWindow(Evidence evidence)
    {
        var readers = evidence.Readers.DistinctBy(reader => reader.Address).ToDictionary(reader => reader.Address);
        var notices = evidence.Record.Messages.Where(message => message.Kind == PatientNotice).Select(message => message.MessageId).ToHashSet(StringComparer.Ordinal);
        foreach (var mail in evidence.Mails.Where(mail => notices.Contains(mail.MessageId) || readers.ContainsKey(mail.To)))
        {
            if (!readers.TryGetValue(mail.To, out var reader))
            {
                yield return $"a patient's mail went to {mail.To}, which is the address of no patient";
                continue;
            }

            var hour = mail.At.InZone(DateTimeZoneProviders.Tzdb[reader.Zone]).TimeOfDay;
            if (hour < WindowFrom || hour >= WindowTo)
                yield return $"a mail went to {mail.To} at {hour:HH:mm} in {reader.Zone}";
        }
    }

    /// <summary>(7) What the program said it had recorded is on record.</summary>
    public static IEnumerable<string> AcknowledgedFactsSurvive(Evidence evidence) =>
        evidence.Acknowledged.Where(id => !evidence.Record.FactIds.Contains(id)).Select(id => $"fact {id} was acknowledged and is not on record");

    /// <summary>(8) No patient's name, address or medicine in a log line, a health answer, a metric or a subject.</summary>
    public static IEnumerable<string> NothingLeaks(Evidence evidence) =>
        from said in evidence.Said.Concat(evidence.Mails.Select(mail => (Where: "the subject of a mail", Text: mail.Subject)))
        from secret in evidence.Secrets
        where said.Text.Contains(secret, StringComparison.OrdinalIgnoreCase)
        select $"\"{secret}\" stands in {said.Where}: {said.Text}";

    private static IEnumerable<string> Number(int statement, IEnumerable<string> broken) => broken.Select(text => $"({statement}) {text}");
}
