using System;
using System.Collections.Generic;
using System.CommandLine;
using System.IO;
using System.Linq;
using System.Text.Json;
using System.Threading.Tasks;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Settings;
using RefillPlanner.Service.Work.Checks;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Commands;

/// <summary><c>self-check</c>: looks at all that the service stands on, and says what to do.</summary>
internal static class SelfCheckCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var json = SharedOptions.Json();
        var command = new Command("self-check", """
            Checks configuration, state folder, disk, database, audit, clock, zones, backup, mail server with its certificate, the service's last sign of
            life, what keeps mail from being sent, and messages that did not arrive. Writes nothing, sends nothing, names no patient.
            Ends with 0: all is well; 1: somebody should look; 69: the database or the mail server is away; 78: the configuration is wrong.

            Examples:
              refill-planner self-check
              refill-planner self-check --data state --config refill-planner.json --json
            """) { data, config, json };
        command.SetAction(async (result, _) =>
        {
            var rows = await RunAsync(Premises.FolderOf(result.GetValue(data)), result.GetValue(config), time);
            await output.WriteLineAsync(result.GetValue(json)
                ? JsonSerializer.Serialize(rows.Select(row => new { check = row.Name, verdict = Word(row.Verdict), seen = row.Seen, what_to_do = row.WhatToDo }), CommandJson.Options)
                : string.Join('\n', rows.Select(Say)));
            return Code(rows);
        });
        return command;
    }

    private static async Task<IReadOnlyList<CheckRow>> RunAsync(string folder, string? configFile, TimeProvider time)
    {
        var rows = new List<CheckRow>();
        var (settings, faults) = SettingsFile.Read(configFile);
        rows.AddRange(faults.Count == 0
            ? [CheckRow.Ok("configuration", configFile is null ? "none is named: all defaults" : $"{configFile} is right, and nobody else reads its secrets")]
            : faults.Select(fault => new CheckRow("configuration", CheckVerdict.Misconfigured, fault.ToString(), "Mend the line.")));
        var now = Instant.FromDateTimeOffset(time.GetUtcNow());
        var file = Path.Combine(folder, Premises.DatabaseFile);
        rows.AddRange(new FolderChecks(folder, file, now).Run());
        try
        {
            using var database = PlannerDatabase.Look(file);
            rows.AddRange(new RecordChecks(database, faults.Count == 0 ? settings : null, now).Run());
        }
        catch (Exception failure) when (failure is SchemaException or SqliteException or DamagedRowException)
        {
            rows.Add(new CheckRow("database", CheckVerdict.Away, $"{file} cannot be used: {failure.Message}", "See that it is there and that the disk works, or put a backup in its place; docs/how-to/restore.md says how."));
        }

        if (faults.Count == 0)
            rows.AddRange(await MailCheck.RunAsync(settings.Mail, time));
        return rows;
    }

    private static int Code(IReadOnlyList<CheckRow> rows) =>
        rows.Any(row => row.Verdict == CheckVerdict.Misconfigured) ? ExitCode.BadConfiguration
        : rows.Any(row => row.Verdict == CheckVerdict.Away) ? ExitCode.Away
        : rows.Any(row => row.Verdict != CheckVerdict.Ok) ? ExitCode.Refused
        : ExitCode.Done;

    private static string Say(CheckRow row) => $"{Word(row.Verdict),-5} {row.Name}: {row.Seen.TrimEnd('.')}.{(row.WhatToDo.Length == 0 ? string.Empty : $"\n      {row.WhatToDo}")}";

    // One word for a reader; why it is bad is in the exit code.
    private static string Word(CheckVerdict verdict) => Kebab.Of(verdict is CheckVerdict.Away or CheckVerdict.Misconfigured ? CheckVerdict.Bad : verdict);
}
