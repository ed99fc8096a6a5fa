using System;
using System.IO;
using NodaTime;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Service.Settings;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>The planner's desk over a file of the benchmark, on the roster's day.</summary>
internal static class PlannerDesk
{
    /// <summary>Noon in the east, morning in the west.</summary>
    public static readonly DateTimeOffset Now = new(2026, 3, 2, 17, 0, 0, TimeSpan.Zero);

    /// <summary>Opens it; the database is the caller's to dispose.</summary>
    public static Desk Open(string folder) =>
        new(PlannerDatabase.Open(Path.Combine(folder, RosterFile.Name), Instant.FromDateTimeOffset(Now)), new PlannerSettings(), new FixedTime(Now));
}
