using System.Collections.Generic;
using System.CommandLine;
using System.IO;
using System.Linq;
using System.Text.Json;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using TimeProvider = System.TimeProvider;

namespace RefillPlanner.Service.Commands;

/// <summary><c>explain</c>: the working of one course, as a person would check it; what a journey takes; how courses could be aligned.</summary>
internal static class ExplainCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var course = new Argument<string?>("COURSE") { Description = "Id of the course.", Arity = ArgumentArity.ZeroOrOne };
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var json = SharedOptions.Json();
        var asOf = SharedOptions.Date("--as-of", "The date; before its doses. Default: today at the site.");
        var travel = new Option<string?>("--travel") { Description = "What the patient needs in hand before a journey: first day away, first day back.", HelpName = "FROM..UNTIL" };
        var align = new Option<string?>("--align") { Description = "How the courses of a patient could be handed over on one day.", HelpName = "PATIENT" };
        var courses = new Option<string?>("--courses") { Description = "With --align: only these courses.", HelpName = "A,B" };
        var command = new Command("explain", """
            Prints the walk of one course: each container opened, what was drawn and lost, why it was closed, the run-out, and each date with the rule that made it.
            With --travel or --align it prints a proposal, and changes nothing.

            Examples:
              refill-planner explain C-104
              refill-planner explain C-104 --travel 2026-04-10..2026-05-02
              refill-planner explain --align PT-12 --courses C-104,C-105 --json
            """) { course, data, config, json, asOf, travel, align, courses };
        command.SetAction(result =>
        {
            var (id, patient, journey) = (result.GetValue(course), result.GetValue(align), result.GetValue(travel));
            if ((id is null) == (patient is null))
                throw new CommandException(ExitCode.Usage, "Give a course, or --align with a patient.");
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), time);
            if (patient is not null)
                Align(output, premises.Desk, patient, result.GetValue(courses)?.Split(',', System.StringSplitOptions.TrimEntries), result.GetValue(asOf), result.GetValue(json));
            else if (journey is not null)
                Travel(output, premises.Desk, id!, journey, result.GetValue(asOf), result.GetValue(json));
            else
                Explain(output, premises.Desk, id!, result.GetValue(asOf));
            return ExitCode.Done;
        });
        return command;
    }

    private static void Refuse(string patientId, string why) => throw new CommandException(ExitCode.Away, $"Patient {patientId} is not computed: {why}");

    private static void Explain(TextWriter output, Desk desk, string id, LocalDate? asOf)
    {
        foreach (var (snapshot, plan) in ProjectCommand.Plans(desk, asOf, id, Refuse))
        {
            var (one, of) = snapshot.Courses.Zip(plan.Courses).FirstOrDefault(pair => pair.First.Course.Id == id);
            if (one is null)
                continue;
            output.Write(CourseExplanation.Of(one, of, desk.Settings.PolicyOf(one.Site.Id), snapshot.Courses.Zip(plan.Courses).Where(pair => pair.First != one)));
            return;
        }

        throw new CommandException(ExitCode.BadInput, $"There is no course {id}.");
    }

    private static void Travel(TextWriter output, Desk desk, string id, string journey, LocalDate? asOf, bool asJson)
    {
        var ends = journey.Split("..");
        if (ends.Length != 2 || LocalDatePattern.Iso.Parse(ends[0]) is not { Success: true, Value: var from } || LocalDatePattern.Iso.Parse(ends[1]) is not { Success: true, Value: var until })
            throw new CommandException(ExitCode.Usage, $"--travel: \"{journey}\" is not two dates that exist, written as 2026-04-10..2026-05-02.");
        if (until <= from)
            throw new CommandException(ExitCode.Usage, $"--travel: {ends[1]}, the first day back, is not after {ends[0]}, the first day away.");
        using var reading = desk.Database.Read();
        var snapshot = reading.Snapshots.FindPatientId(id) is string patientId ? reading.Snapshots.Find(patientId)! : throw new CommandException(ExitCode.BadInput, $"There is no course {id}.");
        var course = snapshot.Courses.First(course => course.Course.Id == id);
        var today = asOf ?? Desk.Today(course.Site, desk.Now);
        if (from <= today)
            throw new CommandException(ExitCode.Usage, $"--travel: {ends[0]} has come: a journey is planned before its first day.");
        var plan = TravelPlanning.Of(course, desk.Settings.PolicyOf(course.Site.Id), today, from, until);
        if (asJson)
            output.WriteLine(JsonSerializer.Serialize(new { Course = id, From = from, Until = until, plan.RunOutOn, plan.WantedOn, plan.FillDays, Items = Items(plan.Items), plan.LastsUntil, plan.EarliestFillOn, plan.IsAllowed, plan.WantedDaysAgo }, CommandJson.Options));
        else
            output.Write(ProposalText.Of(id, plan, from, until));
    }

    private static void Align(TextWriter output, Desk desk, string patientId, string[]? only, LocalDate? asOf, bool asJson)
    {
        using var reading = desk.Database.Read();
        if (reading.Snapshots.Find(patientId) is not PatientSnapshot snapshot)
            throw new CommandException(ExitCode.BadInput, $"There is no patient {patientId} with a course.");
        if (only?.FirstOrDefault(id => snapshot.Courses.All(course => course.Course.Id != id)) is string unknown)
            throw new CommandException(ExitCode.BadInput, $"--courses: {patientId} has no course {unknown}.");
        var site = snapshot.Courses[0].Site;
        CourseSnapshot[] chosen = [.. snapshot.Courses.Where(course => only?.Contains(course.Course.Id) != false)];
        var proposal = Alignment.Of(chosen, desk.Settings.PolicyOf(site.Id), asOf ?? Desk.Today(site, desk.Now))
            ?? throw new CommandException(ExitCode.BadInput, $"There is nothing to align: fewer than two of these courses of {patientId} need a refill.");
        if (asJson)
            output.WriteLine(JsonSerializer.Serialize(new
            {
                Patient = patientId,
                proposal.HandOverOn,
                proposal.NextOn,
                Fills = proposal.Fills.Select(fill => new { Course = fill.CourseId, fill.RunOutOn, Items = Items(fill.Items), fill.LastsUntil, fill.EarliestFillOn, fill.IsAllowed, fill.Reaches }),
                proposal.LeftOut,
            }, CommandJson.Options));
        else
            output.Write(ProposalText.Of(proposal));
    }

    private static IEnumerable<object> Items(IReadOnlyList<RefillItem> items) => items.Select(item => new { Product = item.ProductId, item.Step, item.Containers });
}
