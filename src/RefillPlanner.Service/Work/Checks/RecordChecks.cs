using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Settings;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work.Checks;

/// <summary>The record: whether it is whole, and what it says about clock, zones, backups, pauses and messages.</summary>
/// <param name="database">The database, open to be looked at.</param>
/// <param name="settings">The settings; null: they could not be read.</param>
/// <param name="now">The present instant.</param>
public sealed class RecordChecks(PlannerDatabase database, PlannerSettings? settings, Instant now)
{
    private const string Restore = "Put a backup in its place; docs/how-to/restore.md says how.";
    private static readonly Duration OldBackup = Duration.FromDays(2);
    private static readonly Duration LongUndelivered = Duration.FromDays(1);
    private static readonly Duration NotAcceptedFor = Duration.FromDays(7);

    /// <summary>Looks at all of it.</summary>
    public IEnumerable<CheckRow> Run()
    {
        var verdict = database.FindDamage();
        yield return Damage(verdict);
        yield return Audit(verdict.Audit);
        using var reading = database.Read();
        yield return Clock(reading);
        yield return Zones(reading);
        yield return Sites(reading);
        yield return Backup(reading);
        foreach (var row in Pauses(reading))
            yield return row;
        yield return NotAccepted(reading);
        yield return Undelivered(reading);
    }

    private static CheckRow Damage(FileVerdict verdict) => verdict.Complaints.Count == 0
        ? CheckRow.Ok("database", $"its schema fits, and {Number(verdict.Rows)} rows were read back whole")
        : CheckRow.Bad("database", $"{verdict.Complaints.Count} complaints; the first: {verdict.Complaints[0]}", Restore);

    private static CheckRow Audit(AuditVerdict verdict) => verdict.BrokenAt is long row
        ? CheckRow.Bad("audit", $"the chain is broken at row {row}", "Somebody changed the record behind the program's back: find out who and why, and put a backup in its place.")
        : CheckRow.Ok("audit", $"{Number(verdict.Rows)} rows, head {verdict.Head}");

    // That the two clocks of the machine go together shows only while the service runs.
    private CheckRow Clock(StoreTransaction reading)
    {
        const string Name = "clock";
        const string Set = "Set the clock of this machine right, and let it be kept right (NTP).";
        if (reading.Audit.FindLastInstant() is Instant last && now < last - ClockGuard.Most)
            return CheckRow.Bad(Name, $"it shows {now}, and the record goes on until {last}", Set);
        var madeIn = int.Parse(DateTimeZoneProviders.Tzdb.VersionId.Split(' ')[1].AsSpan(0, 4), NumberStyles.None, CultureInfo.InvariantCulture);
        return now.InUtc().Year < madeIn
            ? CheckRow.Bad(Name, $"it shows {now}, which is before this program was made", Set)
            : CheckRow.Ok(Name, $"it shows {now}, after the last entry of the record");
    }

    private static CheckRow Zones(StoreTransaction reading)
    {
        var zones = reading.Ledger.ListTimeZones();
        var version = DateTimeZoneProviders.Tzdb.VersionId.Split(' ')[1];
        return zones.Where(zone => DateTimeZoneProviders.Tzdb.GetZoneOrNull(zone) is null).ToArray() is [var unknown, ..]
            ? CheckRow.Bad("zones", $"{unknown} is unknown to this program's time zone data ({version})", "Import the site or patient again with a zone such as America/New_York.")
            : CheckRow.Ok("zones", $"{zones.Count} zones on record, all known (time zone data {version})");
    }

    private CheckRow Sites(StoreTransaction reading)
    {
        var known = reading.Ledger.ListSites().Select(site => site.Id).ToHashSet(StringComparer.Ordinal);
        return settings?.Sites.Keys.FirstOrDefault(id => !known.Contains(id)) is string unknown
            ? CheckRow.Warn("sites", $"the configuration has a section for site {unknown}, which is not on record", "Mend the id, or take the section out.")
            : CheckRow.Ok("sites", $"{known.Count} on record");
    }

    private CheckRow Backup(StoreTransaction reading)
    {
        const string Name = "backup";
        const string Make = "refill-planner backup FOLDER, every night; docs/how-to/restore.md says how.";
        if (reading.Life.FindLastBackup() is not Instant last)
            return CheckRow.Warn(Name, "there was none yet", Make);
        var seen = string.Create(CultureInfo.InvariantCulture, $"the last is {(long)(now - last).TotalHours} hours old");
        return now - last > OldBackup ? CheckRow.Warn(Name, seen, Make) : CheckRow.Ok(Name, seen);
    }

    private IEnumerable<CheckRow> Pauses(StoreTransaction reading)
    {
        var pauses = reading.Pauses.List().Where(pause => pause.IsInForce(now)).ToArray();
        if (pauses.Length == 0)
            return [CheckRow.Ok("pauses", "nothing keeps mail from being sent")];
        return pauses.Select(pause => new CheckRow("pauses", pause.Until is null ? CheckVerdict.Bad : CheckVerdict.Warn, $"no mail is sent since {pause.Since}: {pause.Reason}", pause.WhatToDo));
    }

    private CheckRow NotAccepted(StoreTransaction reading)
    {
        var count = reading.Outbox.CountNotAccepted(now - NotAcceptedFor);
        return count == 0
            ? CheckRow.Ok("not accepted", "every message of the last 7 days that is done with reached its reader")
            : CheckRow.Warn("not accepted", $"{Number(count)} messages of the last 7 days did not reach their readers", "They are on the refill-due list, under Could not be reached: call.");
    }

    private CheckRow Undelivered(StoreTransaction reading)
    {
        var count = reading.Outbox.CountQueued(now - LongUndelivered);
        return count == 0
            ? CheckRow.Ok("undelivered", "no message waits for longer than a day")
            : CheckRow.Warn("undelivered", $"{Number(count)} messages wait for longer than a day", "See the mail server and the service above.");
    }

    private static string Number(long number) => number.ToString(CultureInfo.InvariantCulture);
}
