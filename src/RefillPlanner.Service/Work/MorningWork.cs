using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>What happens at a site at the hour of the morning list: the alerts that are still open are said again, and the list goes out.</summary>
public sealed class MorningWork(Desk desk, PatientPlanning planning, DueTasks dueTasks, MailComposer composer)
{
    private static readonly Duration NotReachedFor = Duration.FromDays(30);

    /// <summary>Does it, once a day: the list's key is its site and date. On closed days it does nothing.</summary>
    /// <returns>Whether a list was written.</returns>
    public bool Do(Site site)
    {
        var now = desk.Now;
        var today = Desk.Today(site, now);
        if (!new OpenDays(site).IsOpen(today))
            return false;
        IReadOnlyList<TaskOnRecord> checks;
        using (var reading = desk.Database.Read())
        {
            if (reading.Outbox.Has(MessageKey.Of(MessageKind.MorningList, site.Id, today)))
                return false;
            checks = reading.Tasks.ListOpen(site.Id, TaskKind.StepUpCheck);
        }

        // An alert's key is its course and day: said once, however often this is done.
        foreach (var check in checks)
            planning.Try(check.Task.PatientId, () => AlertAgain(check.Task, now));
        using var transaction = desk.Database.Begin();
        transaction.Outbox.Add(composer.Compose(List(transaction, site, now), site, now));
        Waypoints.Pass(Waypoints.ListDecided);
        transaction.Commit();
        Waypoints.Pass(Waypoints.ListCommitted);
        return true;
    }

    /// <summary>The list of a site at an instant, in the words of the last planning; nothing is written.</summary>
    public MorningList List(StoreTransaction transaction, Site site, Instant now)
    {
        var today = Desk.Today(site, now);
        var rows = transaction.DueList.List(site.Id, MorningList.Through(today));
        return MorningList.Of(
            site,
            today,
            rows.Tasks,
            transaction.Outbox.ListNotAccepted(site.Id, now - NotReachedFor),
            [.. rows.Damaged, .. transaction.Planning.ListFailures(site.Id).Select(failure => NotPlanned(transaction, failure))]) with
        {
            Notes = ServiceNotes(transaction, site, now),
        };
    }

    private static ListedDamage NotPlanned(StoreTransaction transaction, PlanningFailure failure)
    {
        if (failure.PatientId.Length == 0)
            return new ListedDamage("planning", $"Nothing is planned since {failure.Since:uuuu-MM-dd HH:mm} UTC, the list is as it was then: {failure.Reason}", string.Empty, string.Empty, Patient: null);
        return new ListedDamage(failure.PatientId, $"Not planned since {failure.Since:uuuu-MM-dd HH:mm} UTC: {failure.Reason}", failure.PatientId, string.Empty, transaction.DueList.FindPatient(failure.PatientId));
    }

    private static IReadOnlyList<string> ServiceNotes(StoreTransaction transaction, Site site, Instant now) =>
        [.. transaction.Pauses.List().Where(pause => pause.IsInForce(now)).Select(pause => pause.Say(DateTimeZoneProviders.Tzdb[site.TimeZone]))];

    private void AlertAgain(PlannedTask check, Instant now)
    {
        using var transaction = desk.Database.Begin();
        if (transaction.Snapshots.Find(check.PatientId) is not PatientSnapshot snapshot)
            return;
        var (plan, hours) = planning.Work(snapshot, now);
        dueTasks.Alert(transaction, snapshot, plan, check, hours, now);
        transaction.Commit();
    }
}
