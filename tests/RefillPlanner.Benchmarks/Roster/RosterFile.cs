using System;
using System.Globalization;
using System.IO;
using System.Linq;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Store;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>A planner's database file that holds a large roster: written by prepared statements, without planning anything.</summary>
internal static class RosterFile
{
    /// <summary>The name that the program looks for in its state folder.</summary>
    public const string Name = "refill-planner.db";

    private const string RecordedAt = "2026-03-01T12:00:00.000Z";

    /// <summary>When the roster was written, as far as the file knows.</summary>
    public static readonly Instant Written = Instant.FromUtc(2026, 3, 1, 12, 0);

    /// <summary>Writes the file of a folder anew.</summary>
    /// <param name="folder">The folder; made where it is missing.</param>
    /// <param name="roster">What to write.</param>
    /// <param name="withFacts">False: all but the facts.</param>
    /// <returns>How many rows were written.</returns>
    public static long Write(string folder, LargeRoster roster, bool withFacts = true)
    {
        Directory.CreateDirectory(folder);
        var path = Path.Combine(folder, Name);
        foreach (var leftOver in new[] { path, $"{path}-wal", $"{path}-shm" })
            File.Delete(leftOver);
        using (var database = PlannerDatabase.Open(path, Written))
        using (var transaction = database.Begin())
        {
            foreach (var site in roster.ListSites())
                transaction.Ledger.Put(site);
            foreach (var product in RosterCatalogue.Products)
                transaction.Ledger.Put(product);
            foreach (var device in RosterCatalogue.Devices)
                transaction.Ledger.Put(device);
            transaction.Commit();
        }

        return WriteRows(path, roster, withFacts);
    }

    // References hold by construction: that they do is asked of the file in the short run, not row by row here.
    private static long WriteRows(string path, LargeRoster roster, bool withFacts)
    {
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, ForeignKeys = false, Pooling = false }.ToString());
        connection.Open();
        Execute(connection, "PRAGMA journal_mode = DELETE; PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; PRAGMA cache_size = -200000; BEGIN;");
        long rows;
        using (var tables = new RosterTables(connection.Handle!, RecordedAt))
        {
            foreach (var patient in roster.ListPatients())
                tables.Add(patient, withFacts);
            tables.End();
            rows = tables.Rows;
        }

        Execute(connection, "COMMIT; PRAGMA journal_mode = WAL;");
        return rows;
    }

    /// <summary>References that lead nowhere; none is as it should be.</summary>
    public static int CountBrokenReferences(string folder)
    {
        using var connection = Connect(folder);
        using var command = connection.CreateCommand();
        command.CommandText = "SELECT count(*) FROM pragma_foreign_key_check;";
        return Convert.ToInt32(command.ExecuteScalar(), CultureInfo.InvariantCulture);
    }

    /// <summary>A connection of one's own to the file of a folder.</summary>
    public static SqliteConnection Connect(string folder)
    {
        var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = Path.Combine(folder, Name), Pooling = false, ForeignKeys = true }.ToString());
        connection.Open();
        return connection;
    }

    /// <summary>Runs SQL without parameters.</summary>
    public static void Execute(SqliteConnection connection, string sql)
    {
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    /// <summary>Amounts as they stand in the column of a step.</summary>
    public static string Doses(Step step) => string.Join(';', step.Doses.Select(dose => dose.Billionths));
}
