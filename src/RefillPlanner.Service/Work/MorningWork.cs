using System.Collections.Generic;
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
        return MorningList.Of(
            site,
            today,
            transaction.DueList.List(site.Id, MorningList.Through(today)),
            transaction.Outbox.ListNotAccepted(site.Id, now - NotReachedFor));
    }

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
