using System.Collections.Generic;
using System.Diagnostics;
using Microsoft.Data.Sqlite;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>One recursive query over all courses, dose by dose, in SQLite in memory.</summary>
internal static class RecursiveSql
{
    // A row of the recursion is a dose about to be given: the open vial as it was before, and what the step asks.
    private const string Query = """
        WITH RECURSIVE dose (course, step, nth, day, volume, in_use, every, days, needed, sealed, remaining, opened) AS (
            SELECT c.course, 1, 1, 0, c.volume, c.in_use, s.every, s.days, s.needed, c.vials, 0, -1000
            FROM courses c JOIN steps s ON s.course = c.course AND s.step = 1
            UNION ALL
            SELECT d.course, s.step, CASE WHEN s.step = d.step THEN d.nth + 1 ELSE 1 END, d.day + d.every, d.volume, d.in_use, s.every, s.days, s.needed,
                CASE WHEN d.remaining >= d.needed AND d.day < d.opened + d.in_use THEN d.sealed ELSE d.sealed - 1 END,
                CASE WHEN d.remaining >= d.needed AND d.day < d.opened + d.in_use THEN d.remaining ELSE d.volume END - d.needed,
                CASE WHEN d.remaining >= d.needed AND d.day < d.opened + d.in_use THEN d.opened ELSE d.day END
            FROM dose d JOIN steps s ON s.course = d.course AND s.step = d.step + (d.days IS NOT NULL AND d.nth = d.days)
            WHERE d.sealed > 0 OR (d.remaining >= d.needed AND d.day < d.opened + d.in_use)
        )
        SELECT course, day FROM dose WHERE sealed = 0 AND NOT (remaining >= needed AND day < opened + in_use);
        """;

    public static PeerRun Run(IReadOnlyList<PeerCourse> courses)
    {
        using var connection = new SqliteConnection("Data Source=:memory:");
        connection.Open();
        RosterFile.Execute(connection, """
            CREATE TABLE courses (course INTEGER NOT NULL PRIMARY KEY, vials INTEGER NOT NULL, volume INTEGER NOT NULL, in_use INTEGER NOT NULL) STRICT;
            CREATE TABLE steps (course INTEGER NOT NULL, step INTEGER NOT NULL, every INTEGER NOT NULL, days INTEGER, needed INTEGER NOT NULL,
                PRIMARY KEY (course, step)) STRICT, WITHOUT ROWID;
            BEGIN;
            """);
        using (var course = new BulkInsert(connection.Handle!, "courses", "course, vials, volume, in_use", isDigested: false))
        using (var step = new BulkInsert(connection.Handle!, "steps", "course, step, every, days, needed", isDigested: false))
        {
            foreach (var made in courses)
            {
                course.Bind(made.Number).Bind(made.Vials).Bind(made.VialVolume).Bind(made.InUseDays).Run();
                for (var i = 0; i < made.Steps.Count; i++)
                    step.Bind(made.Number).Bind(i + 1).Bind(made.Steps[i].EveryDays).Bind(made.Steps[i].DosingDays).Bind(made.Needed(made.Steps[i])).Run();
            }
        }

        RosterFile.Execute(connection, "COMMIT;");
        var runOuts = new int[courses.Count];
        var clock = Stopwatch.GetTimestamp();
        using var command = connection.CreateCommand();
        command.CommandText = Query;
        using var reader = command.ExecuteReader();
        while (reader.Read())
            runOuts[reader.GetInt32(0) - 1] = reader.GetInt32(1);
        return new PeerRun("recursive SQL", Stopwatch.GetElapsedTime(clock).TotalNanoseconds, runOuts, "one recursive query over all courses in SQLite in memory, dose by dose, until the run-outs were read");
    }
}
