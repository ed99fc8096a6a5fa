using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Does what arrived mail asks: a message that came back is bounced, a patient who wants no more mail is opted out. All other mail is left for the
/// person who reads the mailbox. No mail is ever answered.
/// </summary>
public sealed class ReturnedMailWork(Desk desk)
{
    private const string Mailbox = "mailbox";
    private static readonly TimeSpan LongestVisit = TimeSpan.FromMinutes(4);

    /// <summary>Visits the mailbox once. What goes wrong is told, not thrown: the mailbox never stops other work.</summary>
    public async Task<MailboxRound> ReadAsync(CancellationToken cancellation)
    {
        using var patience = new CancellationTokenSource(LongestVisit, desk.Time);
        using var end = CancellationTokenSource.CreateLinkedTokenSource(cancellation, patience.Token);
        var round = new MailboxRound(0, 0, 0, Failure: null);
        try
        {
            await using var reader = new MailboxReader(desk.Settings.Mailbox);
            await reader.OpenAsync(end.Token);
            await foreach (var mail in reader.ListNewAsync(FindMark(), desk.Now, end.Token))
            {
                if (Apply(mail) is not Dealing dealing)
                    break;
                round = round with { Read = round.Read + 1, Bounced = round.Bounced + dealing.Bounced, OptedOut = round.OptedOut + dealing.OptedOut };
                if (dealing.IsHandled)
                    await reader.MarkSeenAsync(mail, end.Token);
            }

            using var transaction = desk.Database.Begin();
            transaction.Mailbox.KeepReadAt(desk.Now);
            transaction.Commit();
            return round;
        }
        catch (Exception failure)
        {
            return cancellation.IsCancellationRequested ? round : round with { Failure = failure.GetType().Name };
        }
    }

    /// <summary>Does what one mail asks, and keeps that it was read, in one transaction.</summary>
    /// <returns>What was done; null: the mail's message is being sent at this moment, so the mail must be read again later.</returns>
    public Dealing? Apply(ArrivedMail mail)
    {
        var asked = mail.Bytes is byte[] bytes ? ReturnedMail.Read(bytes) : null;
        using var transaction = desk.Database.Begin();
        var dealing = asked switch
        {
            ReturnedMail.Failure failure => Bounce(transaction, failure),
            ReturnedMail.OptOut optOut => OptOut(transaction, optOut),
            _ => Dealing.Left,
        };
        if (dealing is null)
            return null;
        transaction.Mailbox.Keep(mail.Mark);
        transaction.Commit();
        return dealing;
    }

    private Dealing? Bounce(StoreTransaction transaction, ReturnedMail.Failure failure)
    {
        if (FindMessage(transaction, failure.Hash) is not MessageOnRecord message)
            return Dealing.Left;
        switch (message.State)
        {
            case MessageState.Accepted or MessageState.Unknown:
                transaction.Outbox.Move(message.Message.Key, MessageState.Bounced, desk.Now, message.NextAttemptAt, failure.Detail);
                BouncedMail.Call(transaction, message.Message, desk);
                return new Dealing(IsHandled: true, Bounced: 1, OptedOut: 0);
            case MessageState.Sending:
                return null;
            default:
                return new Dealing(IsHandled: message.State == MessageState.Bounced, Bounced: 0, OptedOut: 0);
        }
    }

    private Dealing OptOut(StoreTransaction transaction, ReturnedMail.OptOut optOut)
    {
        var patients = ListAsking(transaction, optOut);
        if (patients.Count == 0)
            return Dealing.Left;
        var sites = transaction.Ledger.ListSites().ToDictionary(site => site.Id);
        var asking = patients.Where(patient => !IsOptedOut(patient)).ToList();
        foreach (var patient in asking)
        {
            // The day at the site; never before an agreement on record, which it would not undo (the same day, the opt-out wins).
            var today = Desk.Today(sites[patient.SiteId], desk.Now);
            var on = patient.EmailAgreedOn is LocalDate agreed ? LocalDate.Max(today, agreed) : today;
            transaction.Ledger.Put(patient with { EmailOptedOutOn = on });
            transaction.Audit.Add(desk.Now, Mailbox, AuditSubject.Patient, patient.Id, Text(patient.EmailOptedOutOn), Text(on), "opted out of e-mail by mail");
        }

        return new Dealing(IsHandled: true, Bounced: 0, asking.Count);
    }

    // The patient to whom the named message went; else all patients with the sender's address.
    private static IReadOnlyList<Patient> ListAsking(StoreTransaction transaction, ReturnedMail.OptOut optOut)
    {
        if (optOut.Hash is string hash && FindMessage(transaction, hash)?.Message is { Kind: MessageKind.PatientNotice, PatientId: string id }
            && transaction.Ledger.FindPatient(id) is Patient named)
            return [named];
        return optOut.From is string from ? transaction.Ledger.ListPatientsByEmail(from) : [];
    }

    // A message whose record is damaged is no message to act on.
    private static MessageOnRecord? FindMessage(StoreTransaction transaction, string hash)
    {
        try
        {
            return transaction.Outbox.FindByMessageIdStart(hash);
        }
        catch (DamagedRowException)
        {
            return null;
        }
    }

    private static bool IsOptedOut(Patient patient) =>
        patient.EmailOptedOutOn is LocalDate optedOut && !(patient.EmailAgreedOn is LocalDate agreed && agreed > optedOut);

    private static string? Text(LocalDate? date) => date is LocalDate day ? LocalDatePattern.Iso.Format(day) : null;

    private MailboxMark FindMark()
    {
        using var reading = desk.Database.Read();
        return reading.Mailbox.FindMark();
    }
}
