using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Tests.Work;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Stories;

/// <summary>
/// The people of a story: on each open day, in the afternoon, they do what the tasks ask - answer, renew, prepare, hand over, sign, return the
/// container - by recording facts. They know nothing but the tasks and the plan.
/// </summary>
/// <param name="bench">The service.</param>
/// <param name="script">What happens besides.</param>
/// <param name="tell">Is told what they record.</param>
internal sealed class StoryPharmacy(Bench bench, StoryScript script, Action<string> tell)
{
    private const string Pharmacist = "Ann Awl, RPh";
    private const int AnswerAfterOpenDays = 1;
    private const int RenewAfterOpenDays = 3;
    private const int ReturnAfterOpenDays = 2;

    private int _number = 100;

    /// <summary>Works one open day.</summary>
    public void Work(LocalDate today)
    {
        foreach (var task in bench.Tasks().Values.Where(task => task.State is TaskState.Due or TaskState.Waiting or TaskState.Overdue).OrderBy(task => task.Task.Kind).ThenBy(task => task.Task.Key.Text, StringComparer.Ordinal))
        {
            if (bench.Tasks()[task.Task.Key.Text] is var still && !TaskLife.IsOpen(still.State))
                continue;
            Do(task.Task, today);
            bench.Planning.Run();
        }
    }

    /// <summary>Records a row of facts.csv.</summary>
    public void Record(string courseId, FactKind kind, LocalDate on, params (string Column, string Value)[] cells)
    {
        var id = $"F-{++_number}";
        Import("facts.csv", [("fact_id", id), ("course_id", courseId), ("kind", Kebab.Of(kind)), ("on", Iso(on)), .. cells]);
        tell($"recorded  {courseId} {Kebab.Of(kind)}{string.Concat(cells.Select(cell => $", {cell.Column} {cell.Value}"))} ({id})");
    }

    /// <summary>Steps back to a new ladder, as the prescriber decided.</summary>
    public void StepBack(string courseId, string steps, LocalDate from)
    {
        var outcome = new CourseSigning(bench.Desk, new PatientPlanning(bench.Desk)).StepBack(courseId, steps, from, Pharmacist);
        Assert.Null(outcome.Refusal);
        tell($"signed    {courseId} {Kebab.Of(outcome.Fact!.Kind)}, ladder {outcome.Fact.Step} from {Iso(outcome.Fact.On)} ({outcome.Fact.Id})");
    }

    /// <summary>On the common day of a patient's courses: a person takes the proposal and hands over all of them.</summary>
    public void Align(string courseId, LocalDate today)
    {
        var snapshot = Snapshot(courseId);
        if (Alignment.Of(snapshot.Courses, bench.Desk.Settings.PolicyOf(snapshot.Patient.SiteId), today) is not AlignmentProposal proposal || proposal.HandOverOn != today)
            return;
        tell($"aligned   next common day {Iso(proposal.NextOn)}");
        foreach (var fill in proposal.Fills)
        {
            tell($"          {fill.CourseId} runs out on {Iso(fill.RunOutOn)} without a fill, on {Iso(fill.LastsUntil)} with it{(fill.IsAllowed ? string.Empty : $"; early-fill rule from {Iso(fill.EarliestFillOn!.Value)}: agreed by the pharmacist")}");
            foreach (var item in fill.Items)
                Record(fill.CourseId, FactKind.Dispensed, today, ("product_id", item.ProductId), ("containers", Text(item.Containers)), ("lot", $"LOT-{_number}"), ("days_supply", Text(Period.DaysBetween(fill.RunOutOn, fill.LastsUntil))));
        }
    }

    private void Do(PlannedTask task, LocalDate today)
    {
        var openDays = new OpenDays(Snapshot(task).Courses[0].Site);
        switch (task.Kind)
        {
            case TaskKind.RefillContact when openDays.Plus(task.DueOn, AnswerAfterOpenDays) <= today:
                Record(task.CourseId!, FactKind.Answered, today, ("note", "yes"));
                break;
            case TaskKind.RenewalRequest when openDays.Plus(task.DueOn, RenewAfterOpenDays) <= today && script.Renewal is not null:
                Import("prescriptions.csv", [("rx_id", $"R-{++_number}"), ("course_id", task.CourseId!), ("issued_on", Iso(today)), .. script.Renewal]);
                tell($"renewed   {task.CourseId} R-{_number}, issued {Iso(today)}{string.Concat(script.Renewal.Select(cell => $", {cell.Column} {cell.Value}"))}");
                break;
            case TaskKind.Prepare:
                Prepare(task.CourseId!, today);
                break;
            case TaskKind.HandOver or TaskKind.Ship:
                HandOver(task.CourseId!, today);
                break;
            case TaskKind.StepUpCheck when openDays.Plus(task.DueOn, AnswerAfterOpenDays) <= today:
                Sign(task, today);
                break;
            case TaskKind.MissedDoseCheck or TaskKind.RecallCall:
                Tick(task, "spoke with the patient");
                break;
            case TaskKind.DiscardNotice when !CourseTasks.IsForPatient(task) || task.DueOn.PlusDays(2) <= today:
                Tick(task, "the patient knows");
                break;
            case TaskKind.SharpsReturn or TaskKind.SharpsOverdue when openDays.Plus(task.DueOn, ReturnAfterOpenDays) <= today:
                ReturnSharps(task, today);
                break;
        }
    }

    private void Prepare(string courseId, LocalDate today)
    {
        foreach (var (item, product, _) in ListItems(courseId))
        {
            (string, string)[] expires = product.BeyondUseDays is int days ? [("expires_on", Iso(today.PlusDays(days)))] : [];
            Record(courseId, FactKind.Prepared, today, [("product_id", item.ProductId), ("containers", Text(item.Containers)), .. expires, ("lot", $"LOT-{_number}")]);
        }
    }

    private void HandOver(string courseId, LocalDate today)
    {
        var course = Course(courseId);
        var lastFillOn = course.Facts.LastOrDefault(fact => fact.Kind == FactKind.Dispensed)?.On ?? LocalDate.MinIsoValue;
        var made = course.Facts.Where(fact => fact.Kind == FactKind.Prepared && fact.On > lastFillOn).ToArray();
        var daysSupply = Plan(courseId).Refill?.DaysSupply;
        foreach (var fact in made)
        {
            (string, string)[] expires = fact.ExpiresOn is LocalDate date ? [("expires_on", Iso(date))] : [];
            (string, string)[] billed = made.Length == 1 && daysSupply is int days ? [("days_supply", Text(days))] : [];
            Record(courseId, FactKind.Dispensed, today, [("product_id", fact.ProductId!), ("containers", Text(fact.Containers!.Value)), .. expires, ("lot", fact.Lot!), .. billed]);
        }
    }

    private void Sign(PlannedTask task, LocalDate today)
    {
        var plan = Plan(task.CourseId!);
        if (CourseTasks.FindCheck(plan, task.Key) is not StepUpPlan check || script.Decide(task.CourseId!, check, today) is not { } decision)
            return;
        var outcome = new CourseSigning(bench.Desk, new PatientPlanning(bench.Desk)).Sign(task.CourseId!, new StepDecision(decision.IsApproval, check.Step, From: null, decision.Until, Pharmacist, Note: null));
        tell(outcome.Fact is Fact fact
            ? $"signed    {task.CourseId} {Kebab.Of(fact.Kind)}, step {fact.Step}{(fact.Until is LocalDate until ? $", until {Iso(until)}" : string.Empty)}{(fact.Signed is string content ? $": {content}" : string.Empty)} ({fact.Id})"
            : $"refused   {task.CourseId}: {outcome.Refusal}");
    }

    private void Tick(PlannedTask task, string note)
    {
        using var transaction = bench.Desk.Database.Begin();
        transaction.Tasks.Move(task.Key, TaskState.Done, bench.Desk.Now, Pharmacist, note);
        transaction.Commit();
        tell($"ticked    {task.Key}: {note}");
    }

    private void ReturnSharps(PlannedTask task, LocalDate today)
    {
        var old = Snapshot(task).Sharps.First(container => container.Id == task.SharpsId);
        Import("sharps.csv", [("sharps_id", old.Id), ("patient_id", old.PatientId), ("capacity_sharps", Text(old.Capacity)), ("issued_on", Iso(old.IssuedOn)), ("returned_on", Iso(today)), ("container_class", old.ContainerClass ?? string.Empty)]);
        Import("sharps.csv", [("sharps_id", $"SH-{++_number}"), ("patient_id", old.PatientId), ("capacity_sharps", Text(old.Capacity)), ("issued_on", Iso(today)), ("container_class", old.ContainerClass ?? string.Empty)]);
        tell($"sharps    {old.Id} came back, SH-{_number} went out");
    }

    private IEnumerable<(RefillItem Item, Product Product, RefillPlan Refill)> ListItems(string courseId)
    {
        if (Plan(courseId).Refill is not RefillPlan { RenewBecause: null } refill)
            return []; // Nothing is made up without a prescription that may be filled.
        var course = Course(courseId);
        return refill.Items.Select(item => (item, course.Products[item.ProductId], refill)).ToArray();
    }

    private CourseSnapshot Course(string courseId) => Snapshot(courseId).Courses.First(course => course.Course.Id == courseId);

    private CoursePlan Plan(string courseId) => new PatientPlanning(bench.Desk).Work(Snapshot(courseId), bench.Desk.Now).Plan.Courses.First(course => course.CourseId == courseId);

    private Store.PatientSnapshot Snapshot(string courseId)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Snapshots.Find(reading.Snapshots.FindPatientId(courseId)!)!;
    }

    private Store.PatientSnapshot Snapshot(PlannedTask task)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Snapshots.Find(task.PatientId)!;
    }

    private void Import(string file, (string Column, string Value)[] cells)
    {
        var text = $"{string.Join(',', cells.Select(cell => cell.Column))}\n{string.Join(',', cells.Select(cell => $"\"{cell.Value}\""))}\n";
        var report = RosterImport.Run(bench.Desk.Database, RosterFolder.Of(new Dictionary<string, string> { [file] = text }), bench.Desk.Now, Pharmacist);
        Assert.True(report.RefusalCount == 0, string.Join('\n', report.Refusals));
    }

    private static string Iso(LocalDate date) => LocalDatePattern.Iso.Format(date);

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);
}
