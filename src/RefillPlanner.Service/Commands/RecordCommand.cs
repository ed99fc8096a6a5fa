using System;
using System.Collections.Generic;
using System.CommandLine;
using System.IO;
using System.Linq;
using NodaTime.Text;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Commands;

/// <summary><c>record</c>: adds one fact, judged by the same rules as a row of a roster.</summary>
internal static class RecordCommand
{
    private static readonly string[] Columns = ["product_id", "containers", "volume_ml", "expires_on", "lot", "until", "opened_on", "step", "days_supply", "note"];

    public static Command Build(TextWriter output, TimeProvider time)
    {
        var course = new Argument<string>("COURSE") { Description = "Id of the course." };
        var kind = new Argument<string>("KIND") { Description = "What happened: dispensed, received, counted, opened, discarded, missed, paused, resumed, approved, held, ladder-started, answered, ended, prepared, void." };
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var today = SharedOptions.Today("As if it were this day, for trying out.");
        var on = SharedOptions.Date("--on", "The day. Default: today at the site.");
        var id = new Option<string?>("--id") { Description = "Id of the fact. Default: made from what it says, so that recording it twice records it once.", HelpName = "ID" };
        var fields = Columns.ToDictionary(column => column, column => new Option<string?>("--" + column.Replace('_', '-')) { Description = $"As {column} of facts.csv." });
        var command = new Command("record", """
            Records one fact of a course, and plans its patient anew in the same breath.

            Examples:
              refill-planner record C-104 counted --product-id P-7 --containers 1 --volume-ml 0.8
              refill-planner record C-104 answered --note yes
            """) { course, kind, data, config, on, id, today };
        foreach (var field in fields.Values)
            command.Add(field);
        command.SetAction(result =>
        {
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), result.GetValue(today) ?? time);
            var courseId = result.GetValue(course)!;
            string? patientId;
            using (var reading = premises.Desk.Database.Read())
                patientId = reading.Snapshots.FindPatientId(courseId);
            if (patientId is null)
                throw new CommandException(ExitCode.BadInput, $"There is no course {courseId}.");
            string day;
            using (var reading = premises.Desk.Database.Read())
                day = LocalDatePattern.Iso.Format(result.GetValue(on) ?? Desk.Today(reading.Snapshots.Find(patientId)!.Courses[0].Site, premises.Desk.Now));
            var values = Columns.Select(column => result.GetValue(fields[column]) ?? string.Empty).ToArray();
            var fact = result.GetValue(id) ?? $"{courseId} {result.GetValue(kind)} {day}{string.Concat(values.Where(value => value.Length > 0).Select(value => " " + value.Replace('/', '-')))}";
            var report = RosterImport.Run(premises.Desk.Database, RosterFolder.Of(FactRow([fact.Length > 64 ? fact[..64] : fact, courseId, result.GetValue(kind)!, day, .. values])), premises.Desk.Now, "record");
            if (report.Refusals.Count > 0)
                throw new CommandException(ExitCode.BadInput, string.Join('\n', report.Refusals.Select(refusal => $"{refusal.Column}: \"{refusal.PrintableValue}\" - {refusal.PrintableReason}")));
            new PatientPlanning(premises.Desk).Plan(patientId);
            output.WriteLine(report.Counts.Any(count => count.New > 0) ? $"recorded {fact}" : $"on record already: {fact}");
            return ExitCode.Done;
        });
        return command;
    }

    private static Dictionary<string, string> FactRow(IEnumerable<string> values) => new()
    {
        ["facts.csv"] = $"fact_id,course_id,kind,on,{string.Join(',', Columns)}\r\n{string.Join(',', values.Select(value => $"\"{value.Replace("\"", "\"\"", StringComparison.Ordinal)}\""))}\r\n",
    };
}
