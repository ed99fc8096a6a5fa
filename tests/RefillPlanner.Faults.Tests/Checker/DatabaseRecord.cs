using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using NodaTime;
using NodaTime.Text;

namespace RefillPlanner.Faults.Tests.Checker;

/// <summary>A message as it stands in the file.</summary>
internal sealed record MessageRow(string Key, string Kind, string? PatientId, IReadOnlyList<string> TaskKeys, string MessageId, string? To, Instant DecidedAt, Instant NotBefore, Instant ExpiresAt, string State, long Attempts, Instant NextAttemptAt);

/// <summary>A task as it stands in the file.</summary>
internal sealed record TaskRow(string Key, string Kind, string State, string DueOn, Instant DueAt);

/// <summary>A row of the audit as it stands in the file: its columns but for number and hash, in order.</summary>
internal sealed record AuditRow(long Id, IReadOnlyList<string?> Columns, byte[] Hash);

/// <summary>What the checker reads of a database file: by SQL of its own, without the program's store.</summary>
internal sealed record DatabaseRecord
{
    private static readonly InstantPattern Moment = InstantPattern.ExtendedIso;

    public required IReadOnlyList<MessageRow> Messages { get; init; }

    public required IReadOnlyList<TaskRow> Tasks { get; init; }

    public required IReadOnlyList<AuditRow> Audit { get; init; }

    public required IReadOnlySet<string> FactIds { get; init; }

    /// <summary>Reads a copy of a file that nobody writes, so that what a kill left stays as it is.</summary>
    /// <param name="file">The file.</param>
    /// <param name="spoil">SQL by which the copy is changed before it is read; null: it is not.</param>
    public static DatabaseRecord Read(string file, string? spoil = null)
    {
        var copy = Directory.CreateTempSubdirectory("refill-planner-record-");
        try
        {
            foreach (var part in new[] { file, file + "-wal" }.Where(File.Exists))
                File.Copy(part, Path.Combine(copy.FullName, Path.GetFileName(part)));
            return ReadOpen(Path.Combine(copy.FullName, Path.GetFileName(file)), spoil);
        }
        finally
        {
            copy.Delete(recursive: true);
        }
    }

    private static DatabaseRecord ReadOpen(string file, string? spoil)
    {
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Pooling = false }.ToString());
        connection.Open();
        if (spoil is not null)
            Execute(connection, spoil);
        return new DatabaseRecord
        {
            Messages = List(
                connection,
                "SELECT message_key, kind, patient_id, task_keys, message_id, to_address, decided_at, not_before, expires_at, state, attempts, next_attempt_at FROM messages ORDER BY decided_at, message_key",
                row => new MessageRow(row.GetString(0), row.GetString(1), Text(row, 2), JsonSerializer.Deserialize<string[]>(row.GetString(3))!, row.GetString(4), Text(row, 5), At(row, 6), At(row, 7), At(row, 8), row.GetString(9), row.GetInt64(10), At(row, 11))),
            Tasks = List(
                connection,
                "SELECT task_key, kind, state, due_on, due_at FROM tasks ORDER BY task_key",
                row => new TaskRow(row.GetString(0), row.GetString(1), row.GetString(2), row.GetString(3), At(row, 4))),
            Audit = List(
                connection,
                "SELECT audit_id, at, by, what, subject, before, after, note, hash FROM audit ORDER BY audit_id",
                row => new AuditRow(row.GetInt64(0), [.. Enumerable.Range(1, 7).Select(column => Text(row, column))], row.GetFieldValue<byte[]>(8))),
            FactIds = List(connection, "SELECT fact_id FROM facts", row => row.GetString(0)).ToHashSet(StringComparer.Ordinal),
        };
    }

    private static void Execute(SqliteConnection connection, string sql)
    {
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    private static List<T> List<T>(SqliteConnection connection, string sql, Func<SqliteDataReader, T> read)
    {
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        using var reader = command.ExecuteReader();
        var rows = new List<T>();
        while (reader.Read())
            rows.Add(read(reader));
        return rows;
    }

    private static string? Text(SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetString(column);

    private static Instant At(SqliteDataReader row, int column) => Moment.Parse(row.GetString(column)).GetValueOrThrow();
}
