using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Settings;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>What all work shares: the database, the settings, and the one clock.</summary>
/// <param name="Database">The database.</param>
/// <param name="Settings">The settings.</param>
/// <param name="Time">The one clock.</param>
public sealed record Desk(PlannerDatabase Database, PlannerSettings Settings, TimeProvider Time)
{
    /// <summary>The present instant.</summary>
    public Instant Now => Instant.FromDateTimeOffset(Time.GetUtcNow());

    /// <summary>The date of an instant at a site.</summary>
    public static LocalDate Today(Site site, Instant now) => now.InZone(DateTimeZoneProviders.Tzdb[site.TimeZone]).Date;
}
