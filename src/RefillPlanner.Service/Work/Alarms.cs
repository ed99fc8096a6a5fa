using System.Collections.Generic;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>What an alarm wakes.</summary>
public enum AlarmKind
{
    /// <summary>Tasks come due.</summary>
    TaskDue,

    /// <summary>A site's patients are planned, before the day begins.</summary>
    SitePlanning,

    /// <summary>A site's morning list.</summary>
    SiteMorning,
}

/// <summary>An instant at which something is to be looked at. What then happens depends on the record, never on the alarm.</summary>
/// <param name="Kind">What it wakes.</param>
/// <param name="Name">Identity: the same alarm has the same name.</param>
/// <param name="At">When.</param>
/// <param name="SiteId">The site, for its planning and its list; empty otherwise.</param>
public sealed record Alarm(AlarmKind Kind, string Name, Instant At, string SiteId);

/// <summary>The alarms of the next 48 hours, worked out from the task table, the outbox and the sites. They can be lost and made again.</summary>
public static class Alarms
{
    /// <summary>How far ahead alarms are set.</summary>
    public static readonly Duration Horizon = Duration.FromHours(48);

    /// <summary>Site time of the nightly planning: after any clock change, before the earliest list.</summary>
    public static readonly LocalTime PlanningAt = new(4, 0);

    /// <summary>The alarms from an instant on, earliest first. What should have happened before it is set for the instant itself.</summary>
    public static IReadOnlyList<Alarm> List(StoreTransaction reading, Desk desk, Instant now)
    {
        var alarms = new List<Alarm>();
        var until = now + Horizon;
        foreach (var dueAt in reading.Tasks.ListAlarmsUntil(until))
            alarms.Add(new Alarm(AlarmKind.TaskDue, InstantPattern.General.Format(dueAt), Instant.Max(now, dueAt), string.Empty));
        foreach (var site in reading.Ledger.ListSites())
            alarms.AddRange(ListOfSite(reading, site, desk.Settings.PolicyOf(site.Id), now, until));
        return [.. alarms.OrderBy(alarm => alarm.At).ThenBy(alarm => alarm.Kind).ThenBy(alarm => alarm.Name, System.StringComparer.Ordinal)];
    }

    // What the day has had already is not set again; what it lacks is, also when its hour has just passed.
    private static IEnumerable<Alarm> ListOfSite(StoreTransaction reading, Site site, Policy policy, Instant now, Instant until)
    {
        var openDays = new OpenDays(site);
        var plannedAt = reading.Runs.FindLatest(PlanningOnChange.RunKind, site.Id)?.StartedAt;
        var zone = DateTimeZoneProviders.Tzdb[site.TimeZone];
        for (var day = now.InZone(zone).Date; ; day = day.PlusDays(1))
        {
            var planning = (day + PlanningAt).InZoneLeniently(zone).ToInstant();
            var morning = (day + policy.ListAt).InZoneLeniently(zone).ToInstant();
            if (planning > until)
                yield break;
            if (planning > now || plannedAt is not Instant last || last < planning)
                yield return new Alarm(AlarmKind.SitePlanning, $"{site.Id} {day:uuuu-MM-dd}", Instant.Max(now, planning), site.Id);
            if (morning <= until && openDays.IsOpen(day) && !reading.Outbox.Has(MessageKey.Of(MessageKind.MorningList, site.Id, day)))
                yield return new Alarm(AlarmKind.SiteMorning, $"{site.Id} {day:uuuu-MM-dd}", Instant.Max(now, morning), site.Id);
        }
    }
}
