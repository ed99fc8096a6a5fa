using System;
using System.CommandLine;
using System.Globalization;
using System.IO;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Commands;

/// <summary><c>backup</c>: a copy of the database that was read back.</summary>
internal static class BackupCommand
{
    private const int DiskFull = 13;
    private const int CannotOpen = 14;

    public static Command Build(TextWriter output, TimeProvider time)
    {
        var target = new Argument<string>("FILE_OR_FOLDER") { Description = "The backup, which must not be there yet; or a folder, in which it is named by day and time." };
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var json = SharedOptions.Json();
        var command = new Command("backup", """
            Copies the database into one file, also while the service runs, reads all of the copy back, and only then gives it its name. Nothing is
            replaced. A backup that is put back sends nothing until a person confirms (run --go-on).

            Examples:
              refill-planner backup /mnt/backups
              refill-planner backup before-the-move.db --data state --json
            """) { target, data, config, json };
        command.SetAction(result =>
        {
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), time);
            var report = Make(premises, result.GetValue(target)!);
            output.WriteLine(result.GetValue(json)
                ? JsonSerializer.Serialize(report, CommandJson.Options)
                : string.Create(CultureInfo.InvariantCulture, $"{report.File}\n{report.Bytes} bytes, {report.Rows} rows read back whole; audit of {report.AuditRows} rows, head {report.AuditHead}"));
            return ExitCode.Done;
        });
        return command;
    }

    private static BackupReport Make(Premises premises, string target)
    {
        var now = premises.Desk.Now;
        if (Directory.Exists(target))
            target = Path.Combine(target, $"refill-planner-{now.ToString("uuuuMMdd-HHmmss", CultureInfo.InvariantCulture)}.db");
        try
        {
            return DatabaseBackup.Make(premises.Desk.Database, target, now);
        }
        catch (DamagedFileException damage)
        {
            throw new CommandException(ExitCode.Away, $"No backup was made, because the database is damaged: put an earlier backup in its place; docs/how-to/restore.md says how.\n{damage.Message}");
        }
        catch (Exception unwritable) when (unwritable is IOException or UnauthorizedAccessException or SqliteException { SqliteErrorCode: DiskFull or CannotOpen })
        {
            throw new CommandException(ExitCode.CannotWrite, $"No backup was made: {unwritable.Message}");
        }
    }
}
