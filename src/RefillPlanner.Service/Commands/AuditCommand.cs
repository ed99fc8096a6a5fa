using System;
using System.Collections.Generic;
using System.CommandLine;
using System.IO;
using System.Linq;
using System.Text.Json;
using NodaTime.Text;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Commands;

/// <summary><c>audit</c>: whether the record of who did what holds together, and what it says about one thing.</summary>
internal static class AuditCommand
{
    public static Command Build(TextWriter output) => new("audit", """
        The audit: who moved what, when, from where to where, in a chain of hashes that a change would break.

        Examples:
          refill-planner audit verify
          refill-planner audit show patient-notice/P-7/2026-03-02
        """) { Verify(output), Show(output) };

    private static Command Verify(TextWriter output)
    {
        var data = SharedOptions.Data();
        var json = SharedOptions.Json();
        var command = new Command("verify", """
            Reads the whole chain and says whether it holds. Compare the head with one that was kept elsewhere, such as in the report of the day: rows
            that are missing at the end show only there. Ends with 65 when the chain is broken, and names the first row that does not follow.

            Examples:
              refill-planner audit verify
              refill-planner audit verify --data state --json
            """) { data, json };
        command.SetAction(result =>
        {
            using var database = Look(result.GetValue(data));
            using var reading = database.Read();
            var verdict = reading.Audit.Verify();
            output.WriteLine(result.GetValue(json)
                ? JsonSerializer.Serialize(verdict, CommandJson.Options)
                : verdict.BrokenAt is long row
                    ? $"Broken at row {row}: it does not follow from the one before it, so it or what stood before it was changed, added or taken out. Rows that hold: {verdict.Rows}, head {verdict.Head}."
                    : $"Whole: {verdict.Rows} rows, head {verdict.Head}.");
            return verdict.BrokenAt is null ? ExitCode.Done : ExitCode.BadInput;
        });
        return command;
    }

    private static Command Show(TextWriter output)
    {
        var subject = new Argument<string>("SUBJECT") { Description = "Key of a task or message, id of a patient, fact or sharps container, or of the service: start, clock, restored, mail-server, mail-account, mail-refusals." };
        var data = SharedOptions.Data();
        var json = SharedOptions.Json();
        var command = new Command("show", """
            Prints what the audit says about one thing, in order.

            Examples:
              refill-planner audit show patient-notice/P-7/2026-03-02
              refill-planner audit show start --json
            """) { subject, data, json };
        command.SetAction(result =>
        {
            using var database = Look(result.GetValue(data));
            using var reading = database.Read();
            var rows = Enum.GetValues<AuditSubject>().SelectMany(what => reading.Audit.ListAbout(what, result.GetValue(subject)!)).OrderBy(row => row.AuditId).ToArray();
            if (rows.Length == 0)
                throw new CommandException(ExitCode.BadInput, $"The audit says nothing about {result.GetValue(subject)}.");
            output.WriteLine(result.GetValue(json) ? JsonSerializer.Serialize(rows.Select(Shape), CommandJson.Options) : string.Join('\n', rows.Select(Say)));
            return ExitCode.Done;
        });
        return command;
    }

    private static string Say(AuditRow row) =>
        $"{row.AuditId}  {InstantPattern.ExtendedIso.Format(row.At)}  {row.By}: {row.What} {row.Before ?? "nothing"} -> {row.After ?? "nothing"}{(row.Note is null ? string.Empty : $" ({row.Note})")}";

    private static Dictionary<string, object?> Shape(AuditRow row) => new()
    {
        ["audit_id"] = row.AuditId,
        ["at"] = InstantPattern.ExtendedIso.Format(row.At),
        ["by"] = row.By,
        ["what"] = row.What,
        ["subject"] = row.Subject,
        ["before"] = row.Before,
        ["after"] = row.After,
        ["note"] = row.Note,
    };

    // Looking at the audit makes no row of it, and no database.
    private static PlannerDatabase Look(string? folder)
    {
        try
        {
            return PlannerDatabase.Look(Path.Combine(Premises.FolderOf(folder), Premises.DatabaseFile));
        }
        catch (SchemaException failure)
        {
            throw new CommandException(ExitCode.Away, failure.Message);
        }
    }
}
