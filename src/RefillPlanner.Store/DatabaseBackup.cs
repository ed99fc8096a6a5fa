using System;
using System.IO;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Messages;

namespace RefillPlanner.Store;

/// <summary>A backup that was made.</summary>
/// <param name="File">Its path.</param>
/// <param name="Bytes">Its size.</param>
/// <param name="Rows">How many rows were read back from it and found whole.</param>
/// <param name="AuditRows">How many of them are rows of the audit.</param>
/// <param name="AuditHead">Hash of the last row of the audit that was copied, in hexadecimal.</param>
public sealed record BackupReport(string File, long Bytes, long Rows, long AuditRows, string AuditHead);

/// <summary>The file to be copied is damaged: no backup is made of it.</summary>
/// <param name="verdict">What is damaged.</param>
public sealed class DamagedFileException(FileVerdict verdict) : Exception(string.Join('\n', verdict.Complaints));

/// <summary>
/// Copies a database file while others write to it, and reads the copy back before it gets its name. A copy that is put back sends nothing until a
/// person confirms: what it holds as unsent may have been sent since.
/// </summary>
public static class DatabaseBackup
{
    private const string By = "backup";

    /// <summary>Makes a backup.</summary>
    /// <param name="database">The database.</param>
    /// <param name="target">Path of the backup, in a folder that exists.</param>
    /// <param name="now">The present instant.</param>
    /// <exception cref="IOException">There is a file of that name, or it cannot be written.</exception>
    /// <exception cref="DamagedFileException">The database is damaged.</exception>
    public static BackupReport Make(PlannerDatabase database, string target, Instant now)
    {
        target = Path.GetFullPath(target);
        if (File.Exists(target) || Directory.Exists(target))
            throw new IOException($"{target} is there already, and a backup replaces nothing: give another name.");
        var unfinished = $"{target}.{Guid.NewGuid():N}.unfinished";
        try
        {
            using (var connection = database.Connect())
                connection.Execute("VACUUM INTO $file;", ("$file", unfinished));
            var verdict = Prepare(unfinished, now);
            Durable.Flush(unfinished);
            File.Move(unfinished, target, overwrite: false);
            Durable.FlushFolder(Path.GetDirectoryName(target)!);
            using var transaction = database.Begin();
            transaction.Life.SetLastBackup(now);
            transaction.Commit();
            return new BackupReport(target, new FileInfo(target).Length, verdict.Rows, verdict.Audit.Rows, verdict.Audit.Head);
        }
        finally
        {
            foreach (var end in new[] { string.Empty, "-wal", "-shm", "-journal" })
                File.Delete(unfinished + end);
        }
    }

    // Reads the copy, has it send nothing when it is put back, and makes it one file.
    private static FileVerdict Prepare(string file, Instant now)
    {
        FileVerdict verdict;
        using (var copy = PlannerDatabase.Open(file, now))
        {
            verdict = copy.FindDamage();
            if (verdict.Complaints.Count > 0)
                throw new DamagedFileException(verdict);
            using var transaction = copy.Begin();
            transaction.Life.SetLastBackup(now);
            transaction.Pauses.Put(
                new Pause(PauseKind.Restored, now, Until: null, Tries: 1, $"this is a backup made on {now:uuuu-MM-dd} at {now:HH:mm} UTC, and what it holds as unsent may have been sent since."),
                now,
                By);
            transaction.Commit();
        }

        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Pooling = false }.ToString());
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = "PRAGMA journal_mode = DELETE;";
        command.ExecuteNonQuery();
        return verdict;
    }
}
