using System;
using System.Diagnostics;
using System.Globalization;
using System.IO;
using System.Linq;
using CsvHelper;
using Microsoft.Data.Sqlite;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>The least that an import does: the CSV is parsed, each row goes into one prepared INSERT, all in one transaction, in a process of its own.</summary>
internal static class BareImport
{
    private const int VolumeColumn = 6;

    // As they stand in the file, which has the volume in mL.
    private static readonly string[] Columns = ["fact_id", "course_id", "kind", "on_date", "product_id", "containers", "volume", "expires_on", "lot", "until", "opened_on", "step", "days_supply", "note"];
    private static readonly string[] WholeNumbers = ["containers", "step", "days_supply"];

    /// <summary>What the child does: <c>bare-import FOLDER ROSTER</c>.</summary>
    public static int Child(string[] args)
    {
        var clock = Stopwatch.StartNew();
        using var connection = RosterFile.Connect(args[0]);
        RosterFile.Execute(connection, "PRAGMA synchronous = FULL;");
        using var transaction = connection.BeginTransaction(deferred: false);
        var facts = Insert(connection, transaction, Path.Combine(args[1], FactsCsv.Name));
        transaction.Commit();
        Console.WriteLine(new Imported(clock.Elapsed.TotalMilliseconds, facts, MemoryPeak.Kibibytes(), string.Empty).ToLine());
        return 0;
    }

    private static int Insert(SqliteConnection connection, SqliteTransaction transaction, string file)
    {
        using var command = connection.CreateCommand();
        command.Transaction = transaction;
        command.CommandText = $"INSERT INTO facts ({string.Join(", ", Columns)}, recorded_at, recorded_by) VALUES ({string.Join(", ", Columns.Select(column => $"${column}"))}, '2026-03-02T17:00:00.000Z', 'benchmark');";
        var parameters = Array.ConvertAll(Columns, column => command.Parameters.Add($"${column}", column == "volume" || WholeNumbers.Contains(column) ? SqliteType.Integer : SqliteType.Text));
        command.Prepare();
        using var reader = CsvReader.FromFile(file, new CsvReaderOptions { HasHeader = false });
        reader.Read();
        var facts = 0;
        for (; reader.Read(); facts++)
        {
            for (var i = 0; i < Columns.Length; i++)
                parameters[i].Value = ValueOf(reader, i);
            command.ExecuteNonQuery();
        }

        return facts;
    }

    private static object ValueOf(CsvReader reader, int column)
    {
        if (reader.IsEmpty(column))
            return DBNull.Value;
        if (column == VolumeColumn)
            return Volume.FromMl(reader.Parse<decimal>(column, CultureInfo.InvariantCulture)).Nanolitres;
        return WholeNumbers.Contains(Columns[column]) ? reader.Parse<long>(column, CultureInfo.InvariantCulture) : reader.GetString(column);
    }
}
