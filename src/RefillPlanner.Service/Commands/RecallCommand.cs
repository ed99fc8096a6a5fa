using System.Collections.Generic;
using System.CommandLine;
using System.Globalization;
using System.IO;
using System.Linq;
using System.Text.Json;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Service.Work;
using TimeProvider = System.TimeProvider;

namespace RefillPlanner.Service.Commands;

/// <summary><c>recall</c>: who has a lot, and everything that follows from its recall.</summary>
internal static class RecallCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var lot = new Argument<string>("LOT") { Description = "The lot, as recorded with fills." };
        var by = new Option<string?>("--by") { Description = "Name of the person who recalls.", HelpName = "NAME" };
        var product = new Option<string?>("--product") { Description = "Only containers of this product. Default: whatever carries the lot.", HelpName = "ID" };
        var dryRun = new Option<bool>("--dry-run") { Description = "Say who has it, and change nothing." };
        var undo = new Option<bool>("--undo") { Description = "Take the recall back: the stock counts again, and calls not yet made are withdrawn." };
        var json = SharedOptions.Json();
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var today = SharedOptions.Today("As if it were this day, for trying out.");
        var command = new Command("recall", """
            Lists every patient who has a lot, or may still have it; records that stock as thrown away, plans those patients anew and queues a call to each.

            Examples:
              refill-planner recall LOT-7731 --dry-run
              refill-planner recall LOT-7731 --by "Ann Awl, RPh"
            """) { lot, by, product, dryRun, undo, json, data, config, today };
        command.SetAction(result =>
        {
            var name = result.GetValue(by)?.Trim();
            if (string.IsNullOrEmpty(name) && !result.GetValue(dryRun))
                throw new CommandException(ExitCode.Usage, "A recall needs a name: give --by, or --dry-run to see only who has the lot.");
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), result.GetValue(today) ?? time);
            var recall = new LotRecall(premises.Desk, new PatientPlanning(premises.Desk));
            var (id, of, who) = (result.GetValue(lot)!, result.GetValue(product), string.IsNullOrEmpty(name) ? "dry run" : name);
            if (result.GetValue(undo))
                WriteUndone(output, recall.Undo(id, of, who, result.GetValue(dryRun)), id, result.GetValue(json));
            else
                WriteRecalled(output, recall.Recall(id, of, who, result.GetValue(dryRun)), id, result.GetValue(json), result.GetValue(dryRun));
            return ExitCode.Done;
        });
        return command;
    }

    private static void WriteRecalled(TextWriter output, IReadOnlyList<LotHolder> holders, string lot, bool asJson, bool isDryRun)
    {
        if (asJson)
        {
            output.WriteLine(JsonSerializer.Serialize(holders.Select(holder => Row(holder, isDryRun)), CommandJson.Options));
            return;
        }

        var calls = holders.Count(holder => holder.Call is not null);
        output.WriteLine(holders.Count == 0
            ? $"Nobody has lot {lot}, by what is on record."
            : $"Lot {lot}: {Counted(holders.Count(holder => holder.Holding.IsHeld), "course has", "courses have")} it or may have it{(isDryRun ? "; nothing was changed" : $", recorded as thrown away; {Counted(calls, "call", "calls")} queued")}.");
        foreach (var holder in holders)
        {
            var patient = holder.Course.Patient;
            var status = patient.Status == PatientStatus.Active ? string.Empty : $" ({Kebab.Of(patient.Status)}: no call is queued)";
            output.WriteLine($"  {patient.Id}  {patient.Name}  {patient.Phone ?? "no telephone"}  {holder.Course.Course.Id}  {RecallText.Of(holder)}{status}");
        }
    }

    private static object Row(LotHolder holder, bool isDryRun) => new
    {
        Patient = holder.Course.Patient.Id,
        Course = holder.Course.Course.Id,
        holder.Products,
        holder.Holding.Sealed,
        Open = holder.Holding.HasOpen,
        holder.Holding.MayBeInUse,
        OnTheWay = holder.Holding.OnTheirWay.Select(fill => fill.Id),
        InPharmacy = holder.Holding.Waiting.Select(made => made.Id),
        Call = isDryRun ? null : holder.Call?.Text,
    };

    private static void WriteUndone(TextWriter output, IReadOnlyList<CourseSnapshot> courses, string lot, bool asJson)
    {
        if (asJson)
            output.WriteLine(JsonSerializer.Serialize(courses.Select(course => new { Patient = course.Patient.Id, Course = course.Course.Id }), CommandJson.Options));
        else
            output.WriteLine(courses.Count == 0 ? $"There is no recall of lot {lot} to take back." : $"The recall of lot {lot} is taken back for {Counted(courses.Count, "course", "courses")}: {string.Join(", ", courses.Select(course => course.Course.Id))}.");
    }

    private static string Counted(int count, string one, string more) => string.Create(CultureInfo.InvariantCulture, $"{count} {(count == 1 ? one : more)}");
}
