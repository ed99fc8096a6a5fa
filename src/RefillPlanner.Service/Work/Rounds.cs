using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Work;

/// <summary>
/// What is done when an alarm goes, at start, and every minute in between. All of it may be done twice, and stopped between two patients or
/// messages. Sending stands apart: a mail server that lets one wait holds up nothing else. While the clock is in doubt none of it is done.
/// </summary>
public sealed class Rounds(Desk desk, PlanningOnChange planning, DueTasks dueTasks, MorningWork morning, DailyReport report, OutboxDelivery outbox, ClockGuard clock, Progress progress, ServiceMeter meter)
{
    /// <summary>At start: what was missed while nothing ran is made up for.</summary>
    public void CatchUp(CancellationToken cancellation)
    {
        outbox.Recover();
        if (!clock.IsTrusted())
            return;
        Plan(siteId: null, cancellation);
        TakeDue(cancellation);
        foreach (var site in ListSites())
        {
            cancellation.ThrowIfCancellationRequested();
            var local = desk.Now.InZone(DateTimeZoneProviders.Tzdb[site.TimeZone]);
            if (local.TimeOfDay >= desk.Settings.PolicyOf(site.Id).ListAt)
                morning.Do(site);
            progress.Mark();
        }

        report.Do();
    }

    /// <summary>When an alarm goes.</summary>
    public void Handle(AlarmKind kind, string siteId, CancellationToken cancellation)
    {
        if (!clock.IsTrusted())
            return;
        switch (kind)
        {
            case AlarmKind.SitePlanning:
                Plan(siteId, cancellation);
                break;
            case AlarmKind.SiteMorning:
                TakeDue(cancellation);
                if (ListSites().FirstOrDefault(site => site.Id == siteId) is Site known)
                    morning.Do(known);
                report.Do();
                break;
            case AlarmKind.TaskDue:
                TakeDue(cancellation);
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown kind of alarm.");
        }
    }

    /// <summary>Every minute: what a lost alarm left.</summary>
    public void Sweep(CancellationToken cancellation)
    {
        if (clock.IsTrusted())
            TakeDue(cancellation);
    }

    /// <summary>Sends what may go now; how many messages were accepted.</summary>
    public async Task<int> SendAsync(CancellationToken cancellation)
    {
        if (!clock.IsTrusted())
            return 0;
        using var sending = progress.BeginSending();
        return await outbox.SendAllAsync(cancellation, outcome =>
        {
            progress.MarkSent();
            meter.CountMessage(outcome);
        });
    }

    /// <summary>The alarms of the next 48 hours, as the record has them now.</summary>
    public IReadOnlyList<Alarm> ListAlarms()
    {
        using var reading = desk.Database.Read();
        return Alarms.List(reading, desk, desk.Now);
    }

    private void Plan(string? siteId, CancellationToken cancellation) => planning.Run(siteId, _ => progress.Mark(), cancellation);

    // After a stop nothing more is decided: a list would lack what was not taken.
    private void TakeDue(CancellationToken cancellation)
    {
        dueTasks.TakeAll(
            count =>
            {
                progress.Mark();
                meter.CountTasks(count);
            },
            cancellation);
        cancellation.ThrowIfCancellationRequested();
    }

    private IReadOnlyList<Site> ListSites()
    {
        using var reading = desk.Database.Read();
        return reading.Ledger.ListSites();
    }
}
