using System;
using System.CommandLine;
using System.Globalization;
using System.IO;
using System.Linq;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Commands;

/// <summary><c>import</c>: takes a roster in.</summary>
internal static class ImportCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var path = new Argument<string>("ROSTER") { Description = "Folder with the roster's CSV files, or a zip of one." };
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var today = SharedOptions.Today("As if it were this day, for trying out.");
        var refused = new Option<string?>("--refused") { Description = "Folder for the refused rows, to be mended and fed again. Default: refused in the state folder.", HelpName = "FOLDER" };
        var dryRun = new Option<bool>("--dry-run") { Description = "Judge the rows and write nothing." };
        var command = new Command("import", """
            Takes a roster in, row by row. What is refused is named with place, value and reason; the rest goes in.

            Examples:
              refill-planner import roster
              refill-planner import roster.zip --dry-run
            """) { path, data, config, refused, dryRun, today };
        command.SetAction(result =>
        {
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), result.GetValue(today) ?? time);
            var folder = result.GetValue(refused) ?? Path.Combine(premises.Folder, "refused", premises.Desk.Now.ToString("uuuuMMdd-HHmmss-fff", CultureInfo.InvariantCulture));
            JudgedRoster report;
            try
            {
                var roster = RosterFolder.Open(result.GetValue(path)!);
                report = ProgressBar.Show("Reading", roster.Length, output, tell =>
                {
                    roster.OnRead = tell;
                    return RosterImport.Run(premises.Desk.Database, roster, premises.Desk.Now, "import", result.GetValue(dryRun), folder);
                });
            }
            catch (Exception unreadable) when (unreadable is FileNotFoundException or InvalidDataException)
            {
                throw new CommandException(ExitCode.BadInput, unreadable.Message);
            }
            catch (Exception unwritable) when (unwritable is IOException or UnauthorizedAccessException)
            {
                throw new CommandException(ExitCode.CannotWrite, $"Nothing was imported: {unwritable.Message}");
            }

            foreach (var count in report.Counts.Where(count => count.New + count.Same + count.Updated + count.Refused > 0))
                output.WriteLine($"{count.File}: {count.New} new, {count.Updated} updated, {count.Same} unchanged, {count.Refused} refused");
            if (!result.GetValue(dryRun))
            {
                var planning = new PlanningOnChange(premises.Desk, new PatientPlanning(premises.Desk));
                var (planned, failed) = ProgressBar.Show("Planning", planning.CountCalledFor(), output, tell => planning.Run(tell: tell));
                output.WriteLine($"{planned} patients planned{(failed.Count > 0 ? $", {failed.Count} failed: {string.Join(", ", failed.Select(patientId => patientId.Length > 0 ? patientId : "planning as a whole, because of damage on disk"))}" : string.Empty)}");
            }

            if (report.Refusals.Count == 0)
                return ExitCode.Done;
            foreach (var refusal in report.Refusals)
                output.WriteLine($"refused {refusal}");
            if (report.RefusalCount > report.Refusals.Count)
                output.WriteLine($"... and {report.RefusalCount - report.Refusals.Count} more");
            if (!result.GetValue(dryRun))
                output.WriteLine($"{report.RefusalCount} refused; the rows are in {folder}");

            return ExitCode.Refused;
        });
        return command;
    }
}
