using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Work;

/// <summary>
/// What is done when an alarm goes, at start, and every minute in between. All of it may be done twice. Sending stands apart: a mail server that
/// lets one wait holds up nothing else.
/// </summary>
public sealed class Rounds(Desk desk, PlanningOnChange planning, DueTasks dueTasks, MorningWork morning, DailyReport report, OutboxDelivery outbox)
{
    /// <summary>At start: what was missed while nothing ran is made up for.</summary>
    public void CatchUp(CancellationToken cancellation)
    {
        outbox.Recover();
        planning.Run(cancellation: cancellation);
        dueTasks.TakeAll();
        foreach (var site in ListSites())
        {
            var local = desk.Now.InZone(DateTimeZoneProviders.Tzdb[site.TimeZone]);
            if (local.TimeOfDay >= desk.Settings.PolicyOf(site.Id).ListAt)
                morning.Do(site);
        }

        report.Do();
    }

    /// <summary>When an alarm goes.</summary>
    public void Handle(AlarmKind kind, string siteId, CancellationToken cancellation)
    {
        switch (kind)
        {
            case AlarmKind.SitePlanning:
                planning.Run(siteId, cancellation: cancellation);
                break;
            case AlarmKind.SiteMorning:
                dueTasks.TakeAll();
                if (ListSites().FirstOrDefault(site => site.Id == siteId) is Site known)
                    morning.Do(known);
                report.Do();
                break;
            case AlarmKind.TaskDue:
                dueTasks.TakeAll();
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown kind of alarm.");
        }
    }

    /// <summary>Every minute: what a lost alarm left.</summary>
    public void Sweep() => dueTasks.TakeAll();

    /// <summary>Sends what may go now; how many messages were accepted.</summary>
    public Task<int> SendAsync(CancellationToken cancellation) => outbox.SendAllAsync(cancellation);

    /// <summary>The alarms of the next 48 hours, as the record has them now.</summary>
    public IReadOnlyList<Alarm> ListAlarms()
    {
        using var reading = desk.Database.Read();
        return Alarms.List(reading, desk, desk.Now);
    }

    private IReadOnlyList<Site> ListSites()
    {
        using var reading = desk.Database.Read();
        return reading.Ledger.ListSites();
    }
}
