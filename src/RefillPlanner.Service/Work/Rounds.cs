using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Work;

/// <summary>What is done when an alarm goes, at start, and every minute in between. All of it may be done twice.</summary>
public sealed class Rounds(Desk desk, PlanningOnChange planning, DueTasks dueTasks, MorningWork morning, DailyReport report, OutboxDelivery outbox)
{
    /// <summary>At start: what was missed while nothing ran is made up for.</summary>
    public async Task CatchUpAsync(CancellationToken cancellation)
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
        await outbox.SendAllAsync(cancellation);
    }

    /// <summary>When an alarm goes.</summary>
    public async Task HandleAsync(AlarmKind kind, string siteId, CancellationToken cancellation)
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

        await outbox.SendAllAsync(cancellation);
    }

    /// <summary>Every minute: what a lost alarm left, and messages whose next try has come.</summary>
    public async Task SweepAsync(CancellationToken cancellation)
    {
        dueTasks.TakeAll();
        await outbox.SendAllAsync(cancellation);
    }

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
