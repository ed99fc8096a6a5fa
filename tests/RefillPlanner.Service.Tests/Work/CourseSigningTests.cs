using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Demo;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>
/// A pharmacist's decisions over the demo of Monday, March 2, 2026. C-201: step 2 (0.5 mg) begins on Monday, March 16, and its alert is due today.
/// C-204: nobody signed, and step 2 is held back.
/// </summary>
public sealed class CourseSigningTests
{
    private const string Pharmacist = "Quill Saltmarsh, pharmacist";
    private static readonly LocalDate Today = new(2026, 3, 2);

    [Fact]
    public async Task An_approval_is_on_record_with_who_and_what_and_the_task_of_the_check_is_done()
    {
        using var bench = await BenchAsync();
        var check = Check(bench, "C-201");
        Assert.True(TaskLife.IsOpen(check.State));
        var outcome = Signing(bench).Sign("C-201", Approve());
        Assert.Null(outcome.Refusal);
        Assert.Equal((FactKind.Approved, 2, Today, Pharmacist), (outcome.Fact!.Kind, outcome.Fact.Step, outcome.Fact.On, outcome.Fact.Note));
        Assert.StartsWith("0.5 mg every 7 days; P-SEMA, multi-dose-vial, ", outcome.Fact.Signed, StringComparison.Ordinal);
        Assert.True(outcome.Plan!.StepUps[0].Approved);
        Assert.Equal(TaskState.Done, bench.Tasks()[check.Task.Key.Text].State);
        using var reading = bench.Desk.Database.Read();
        Assert.Equal(Pharmacist, Assert.Single(reading.Audit.ListAbout(AuditSubject.Fact, outcome.Fact.Id)).By);
        Assert.Equal(outcome.Fact.Signed, reading.Signatures.Find(outcome.Fact.Id));
    }

    [Fact]
    public async Task The_check_of_C_201_is_for_Monday_March_16()
    {
        using var bench = await BenchAsync();
        Assert.Equal("step-up-check/C-201/step 2 from 2026-03-16", Check(bench, "C-201").Task.Key.Text);
    }

    [Fact]
    public async Task Once_approved_there_is_nothing_to_sign_but_it_may_be_held_after_all()
    {
        using var bench = await BenchAsync();
        Assert.Null(Signing(bench).Sign("C-201", Approve()).Refusal);
        Assert.Contains("Step 3 cannot be signed before step 2 has begun", Signing(bench).Sign("C-201", Approve()).Refusal, StringComparison.Ordinal);
        Assert.Contains("approved already", Signing(bench).Sign("C-201", Approve() with { Step = 2 }).Refusal, StringComparison.Ordinal);
        var held = Signing(bench).Sign("C-201", Hold(new LocalDate(2026, 4, 2)) with { Step = 2 });
        Assert.Null(held.Refusal);
        Assert.Equal(new LocalDate(2026, 4, 6), held.Plan!.HeldBack!.StartsOn); // the first Monday from April 2 on
        Assert.Contains("on one day the hold wins", Signing(bench).Sign("C-201", Approve() with { Step = 2 }).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_hold_ends_the_check_and_it_is_asked_again_in_time_for_the_end_of_the_hold()
    {
        using var bench = await BenchAsync();
        var check = Check(bench, "C-201");
        Assert.Null(Signing(bench).Sign("C-201", Hold(new LocalDate(2026, 4, 9))).Refusal);
        Assert.Equal(TaskState.Done, bench.Tasks()[check.Task.Key.Text].State);
        var again = Check(bench, "C-201");

        // Thursday, April 9, so Monday, April 13: five open days before is April 6, three more, over the closed Friday of April 3, are March 31.
        Assert.Equal("step-up-check/C-201/step 2 from 2026-04-13", again.Task.Key.Text);
        Assert.Equal(new LocalDate(2026, 3, 31), again.Task.DueOn);
    }

    [Fact]
    public async Task If_nobody_signs_the_step_is_held_back_and_the_old_strength_is_planned_on()
    {
        using var bench = await BenchAsync();
        using var reading = bench.Desk.Database.Read();
        var snapshot = reading.Snapshots.Find(reading.Snapshots.FindPatientId("C-204")!)!;
        var plan = PlanningPipeline.Plan(snapshot.Courses, snapshot.Sharps, Policy.Default, Today).Courses.Single();
        Assert.Equal(1, plan.Supply.Step);
        Assert.Equal(2, plan.HeldBack!.Step);
        Assert.All(plan.Refill!.Items, item => Assert.Equal(1, item.Step));
        Assert.Contains("held back", Check(bench, "C-204").Task.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_step_held_back_begins_in_the_rhythm_of_the_old_one_once_it_is_signed()
    {
        // C-204 began on January 25, a Sunday, weekly: the next dosing day after March 2 is March 8.
        using var bench = await BenchAsync();
        var outcome = Signing(bench).Sign("C-204", Approve());
        Assert.Null(outcome.Refusal);
        Assert.Equal(new LocalDate(2026, 3, 8), outcome.Plan!.StepUps[0].StartsOn);
        Assert.Null(outcome.Plan.HeldBack);
    }

    // C-301: 0.34 mg is 0.136 mL, rounded to the mark at 0.14 mL (14 units); it has one step.
    [Fact]
    public async Task A_rounded_dose_of_step_1_is_signed_by_name_and_the_list_asks_for_it_until_then()
    {
        using var bench = await BenchAsync();
        const string howTo = "refill-planner sign C-301 approve --step 1 --by NAME";
        Assert.Contains(howTo, Findings(bench, "C-301"), StringComparison.Ordinal);
        Assert.EndsWith(howTo, Signing(bench).Sign("C-301", Approve()).Refusal, StringComparison.Ordinal);
        var outcome = Signing(bench).Sign("C-301", Approve() with { Step = 1 });
        Assert.Null(outcome.Refusal);
        Assert.Contains("The patient's sheet may now show this dose: refill-planner preview sheet --course C-301", SigningText.Of(outcome.Fact!, outcome.Course!, outcome.Plan!, Pharmacist), StringComparison.Ordinal);
        Assert.DoesNotContain("To sign it", Findings(bench, "C-301"), StringComparison.Ordinal);
        var sheet = PatientSheet.Of(outcome.Course!, outcome.Plan!, Policy.Default);
        Assert.StartsWith("14 units (0.14 mL)", Assert.Single(sheet.Steps[0].Marks), StringComparison.Ordinal);
        Assert.StartsWith("There is nothing to sign", Signing(bench).Sign("C-301", Approve()).Refusal, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("C-999", null, "There is no course C-999.")]
    [InlineData("C-201", 9, "There is no step 9: ladder 1 of C-201, which is in force, has the steps 1 to 3.")]
    [InlineData("C-201", 1, "Step 1 is not signed")]
    [InlineData("C-201", 3, "cannot be signed before step 2 has begun")]
    [InlineData("C-205", 2, "it was recorded with needs_check no")]
    [InlineData("C-206", 2, "Step 2 has begun")]
    public async Task What_cannot_be_signed_is_refused_with_the_reason(string course, int? step, string reason)
    {
        using var bench = await BenchAsync();
        var outcome = Signing(bench).Sign(course, Approve() with { Step = step });
        Assert.Null(outcome.Fact);
        Assert.Contains(reason, outcome.Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_hold_needs_an_end_after_the_step_is_to_begin()
    {
        using var bench = await BenchAsync();
        Assert.Contains("give --until DATE", Signing(bench).Sign("C-201", Hold(null)).Refusal, StringComparison.Ordinal);
        Assert.Contains("is not after today", Signing(bench).Sign("C-201", Hold(Today)).Refusal, StringComparison.Ordinal);
        Assert.Contains("would hold nothing back", Signing(bench).Sign("C-201", Hold(new LocalDate(2026, 3, 16))).Refusal, StringComparison.Ordinal);
        Assert.Contains("has passed", Signing(bench).Sign("C-201", Approve() with { From = Today.PlusDays(-1) }).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_approval_from_a_later_day_lets_the_old_doses_go_on_until_then()
    {
        using var bench = await BenchAsync();
        var outcome = Signing(bench).Sign("C-201", Approve() with { From = new LocalDate(2026, 3, 20) });
        Assert.Equal(new LocalDate(2026, 3, 23), outcome.Plan!.StepUps[0].StartsOn); // the first Monday from March 20 on
    }

    [Theory]
    [InlineData("products.csv", "P-SEMA", "amount_per_ml")]
    [InlineData("devices.csv", "D-U50", "graduation_ml")]
    public async Task When_what_was_signed_changes_the_approval_counts_no_longer_and_the_check_is_asked_again(string file, string id, string column)
    {
        using var bench = await BenchAsync();
        var check = Check(bench, "C-201");
        var signed = Signing(bench).Sign("C-201", Approve()).Fact!;
        var demo = DemoRoster.Build(Today);
        Change(bench, demo[file], file, id, column);
        bench.Planning.Run();
        Assert.True(TaskLife.IsOpen(bench.Tasks()[check.Task.Key.Text].State));
        using (var reading = bench.Desk.Database.Read())
        {
            var snapshot = reading.Snapshots.Find(reading.Snapshots.FindPatientId("C-201")!)!;
            var plan = PlanningPipeline.Plan(snapshot.Courses, snapshot.Sharps, Policy.Default, Today).Courses.Single();
            Assert.False(plan.StepUps[0].Approved);
            Assert.Contains(plan.Findings, finding => finding.Code == FindingCode.SignedBeforeChange && finding.Text.StartsWith(signed.Id, StringComparison.Ordinal));
            Assert.Single(snapshot.Courses.Single().Facts, fact => fact.Kind == FactKind.Void && fact.Note == signed.Id);
            Assert.Single(reading.Audit.ListAbout(AuditSubject.Fact, $"void {signed.Id}"));
        }

        // Planned again nothing more is taken back; signed again the question is answered.
        bench.Planning.Run();
        Assert.Null(Signing(bench).Sign("C-201", Approve()).Refusal);
        Assert.Equal(TaskState.Done, bench.Tasks()[check.Task.Key.Text].State);
        using var after = bench.Desk.Database.Read();
        var again = after.Snapshots.Find(after.Snapshots.FindPatientId("C-201")!)!;
        var planned = PlanningPipeline.Plan(again.Courses, again.Sharps, Policy.Default, Today).Courses.Single();
        Assert.True(planned.StepUps[0].Approved);
        Assert.DoesNotContain(planned.Findings, finding => finding.Code == FindingCode.SignedBeforeChange);
    }

    [Fact]
    public async Task An_imported_approval_counts_as_it_stands()
    {
        using var bench = await BenchAsync();
        Change(bench, DemoRoster.Build(Today)["products.csv"], "products.csv", "P-SEMA", "amount_per_ml");
        bench.Planning.Run();
        using var reading = bench.Desk.Database.Read();
        var snapshot = reading.Snapshots.Find(reading.Snapshots.FindPatientId("C-202")!)!;
        Assert.True(PlanningPipeline.Plan(snapshot.Courses, snapshot.Sharps, Policy.Default, Today).Courses.Single().StepUps[0].Approved);
    }

    [Fact]
    public async Task A_step_back_takes_the_new_ladder_and_starts_it_or_neither()
    {
        using var bench = await BenchAsync();
        const string header = "course_id,ladder,step,product_id,doses,every_days,dose_days\n";
        var refused = Signing(bench).StepBack("C-206", header + "C-206,2,1,P-SEMA,0.25 mg,7,4\nC-206,2,3,P-SEMA,0.5 mg,7,\n", null, Pharmacist);
        Assert.NotNull(refused.Refusal);
        Assert.Contains("one new ladder of C-206", Signing(bench).StepBack("C-206", header + "C-206,2,1,P-SEMA,0.25 mg,7,\nC-206,3,1,P-SEMA,0.25 mg,7,\n", null, Pharmacist).Refusal, StringComparison.Ordinal);
        using (var reading = bench.Desk.Database.Read())
            Assert.All(reading.Ledger.ListSteps("C-206"), step => Assert.Equal(1, step.Ladder));

        var outcome = Signing(bench).StepBack("C-206", header + "C-206,2,1,P-SEMA,0.25 mg,7,4\nC-206,2,2,P-SEMA,0.5 mg,7,\n", new LocalDate(2026, 3, 8), Pharmacist);
        Assert.Null(outcome.Refusal);
        Assert.Equal((2, 1), (outcome.Plan!.Supply.Ladder, outcome.Plan.Supply.Step));
        Assert.Equal(new LocalDate(2026, 4, 5), outcome.Plan.StepUps[0].StartsOn); // four weekly doses from March 8
    }

    // What the refill-due list says of a course, as planning has kept it.
    private static string Findings(Bench bench, string course)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Ledger.ListSites().SelectMany(site => reading.DueList.List(site.Id, Today.PlusDays(400)).Tasks).First(row => row.CourseId == course).Course!.Findings;
    }

    private static CourseSigning Signing(Bench bench) => new(bench.Desk, new PatientPlanning(bench.Desk));

    private static StepDecision Approve() => new(IsApproval: true, Step: null, From: null, Until: null, Pharmacist, Note: null);

    private static StepDecision Hold(LocalDate? until) => new(IsApproval: false, Step: null, From: null, until, Pharmacist, Note: null);

    private static TaskOnRecord Check(Bench bench, string course) =>
        bench.Tasks().Values.First(task => task.Task.Kind == TaskKind.StepUpCheck && task.Task.CourseId == course && TaskLife.IsOpen(task.State));

    // The same row with twice the number in one column.
    private static void Change(Bench bench, string text, string file, string id, string column)
    {
        var lines = text.Split('\n');
        var place = Array.IndexOf(lines[0].TrimEnd('\r').Split(','), column);
        var cells = lines.First(line => line.StartsWith(id + ",", StringComparison.Ordinal)).TrimEnd('\r').Split(',');
        cells[place] = (decimal.Parse(cells[place], System.Globalization.CultureInfo.InvariantCulture) * 2).ToString(System.Globalization.CultureInfo.InvariantCulture);
        var report = RosterImport.Run(bench.Desk.Database, RosterFolder.Of(new Dictionary<string, string> { [file] = $"{lines[0]}\n{string.Join(',', cells)}\n" }), bench.Desk.Now, "test");
        Assert.Empty(report.Refusals);
    }

    private static async Task<Bench> BenchAsync()
    {
        var bench = new Bench(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));
        bench.ImportDemo(Today);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        return bench;
    }
}
