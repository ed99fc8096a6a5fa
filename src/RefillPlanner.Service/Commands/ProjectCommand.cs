using System;
using System.Collections.Generic;
using System.CommandLine;
using System.IO;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Commands;

/// <summary><c>project</c>: what follows for each course on a date.</summary>
internal static class ProjectCommand
{
    public static Command Build(TextWriter output, TimeProvider time)
    {
        var data = SharedOptions.Data();
        var config = SharedOptions.Config();
        var json = SharedOptions.Json();
        var asOf = SharedOptions.Date("--as-of", "The date; before its doses. Default: today at the site.");
        var course = new Option<string?>("--course") { Description = "Only this course.", HelpName = "ID" };
        var sharps = new Option<bool>("--sharps") { Description = "The sharps containers instead of the courses." };
        var command = new Command("project", """
            Prints what follows for each course: run-out, refill dates, step-up, findings. Nothing is written.

            Examples:
              refill-planner project --json --as-of 2026-03-02
              refill-planner project --course C-104
            """) { data, config, json, asOf, course, sharps };
        command.SetAction(result =>
        {
            using var premises = Premises.Open(result.GetValue(data), result.GetValue(config), time);
            var objects = new SortedDictionary<string, string>(StringComparer.Ordinal);
            var lines = new SortedDictionary<string, string>(StringComparer.Ordinal);
            var damaged = 0;
            foreach (var (snapshot, plan) in Plans(premises.Desk, result.GetValue(asOf), result.GetValue(course), Complain))
            {
                if (result.GetValue(sharps))
                {
                    foreach (var forecast in plan.Sharps)
                    {
                        objects[forecast.SharpsId] = ProjectionJson.Of(forecast);
                        lines[forecast.SharpsId] = $"{forecast.SharpsId}  {forecast.PatientId}  {forecast.Used} of {forecast.Capacity}  fill line {Iso(forecast.FillLineOn)}  {Kebab.Of(forecast.State)}";
                    }

                    continue;
                }

                foreach (var (one, of) in snapshot.Courses.Zip(plan.Courses))
                {
                    if (result.GetValue(course) is string only && one.Course.Id != only)
                        continue;
                    objects[one.Course.Id] = ProjectionJson.Of(one, of);
                    lines[one.Course.Id] = Line(of);
                }
            }

            if (result.GetValue(course) is string wanted && objects.Count == 0 && damaged == 0)
                throw new CommandException(ExitCode.BadInput, $"There is no course {wanted}.");
            if (result.GetValue(json))
                output.WriteLine("[" + string.Join(",\n", objects.Values) + "]");
            else
                foreach (var line in lines.Values)
                    output.WriteLine(line);
            return damaged == 0 ? ExitCode.Done : ExitCode.Refused;

            void Complain(string patientId, string why)
            {
                damaged++;
                result.InvocationConfiguration.Error.WriteLine($"Patient {patientId} is not computed: {why}");
            }
        });
        return command;
    }

    /// <summary>The plans of all patients, or of one course's patient, on a date.</summary>
    /// <param name="desk">Database, settings, clock.</param>
    /// <param name="asOf">The date; null: today at the site.</param>
    /// <param name="courseId">The course; null: all.</param>
    /// <param name="complain">Is told of each patient whose record is damaged, and why; the others go on.</param>
    public static IEnumerable<(PatientSnapshot Snapshot, PatientPlan Plan)> Plans(Desk desk, LocalDate? asOf, string? courseId, Action<string, string> complain)
    {
        using var reading = desk.Database.Read();
        reading.Snapshots.ReadReference();
        var patientIds = courseId is null ? reading.Snapshots.ListPatientIds() : reading.Snapshots.FindPatientId(courseId) is string id ? [id] : [];
        foreach (var patientId in patientIds)
        {
            if (Find(reading, patientId, complain) is not PatientSnapshot snapshot)
                continue;
            var site = snapshot.Courses[0].Site;
            yield return (snapshot, PlanningPipeline.Plan(snapshot.Courses, snapshot.Sharps, desk.Settings.PolicyOf(site.Id), asOf ?? Desk.Today(site, desk.Now)));
        }
    }

    private static PatientSnapshot? Find(StoreTransaction reading, string patientId, Action<string, string> complain)
    {
        try
        {
            return reading.Snapshots.Find(patientId);
        }
        catch (DamagedRowException damage)
        {
            complain(patientId, damage.Message);
            return null;
        }
    }

    private static string Line(CoursePlan plan)
    {
        var supply = plan.Supply;
        var end = supply.RunOutOn ?? supply.EndsOn;
        var refill = plan.Refill is RefillPlan planned ? $"  contact {Iso(planned.ContactOn)}{(planned.LateDays > 0 ? $", {planned.LateDays} days late" : string.Empty)}" : string.Empty;
        var findings = plan.Findings.Count > 0 ? "  " + string.Join(", ", plan.Findings.Select(finding => finding.Code).Distinct()) : string.Empty;
        var covered = plan.DaysCovered is DaysCovered days ? $"  days covered {Exact.Plain(days.Percent)} %" : string.Empty;
        return $"{plan.CourseId}  {Kebab.Of(supply.Outcome)} {Iso(end)}{refill}{covered}{findings}";
    }

    private static string Iso(LocalDate? date) => date is LocalDate known ? NodaTime.Text.LocalDatePattern.Iso.Format(known) : "-";
}
