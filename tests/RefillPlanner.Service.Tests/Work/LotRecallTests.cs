using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Core.Tests.Literal;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>A recalled lot over a generated roster, in which one lot of a product serves many courses of a week.</summary>
public sealed class LotRecallTests
{
    private const string By = "Quill Saltmarsh, pharmacist";
    private static readonly LocalDate Today = new(2026, 3, 2);

    [Fact]
    public void Of_five_thousand_courses_every_holder_is_found_and_nobody_else()
    {
        using var stock = new GeneratedStock(5_000);
        var planning = new PatientPlanning(stock.Desk);
        new PlanningOnChange(stock.Desk, planning).Run();
        var courses = ListCourses(stock.Desk);
        var lots = courses.SelectMany(course => course.Facts).Where(fact => fact.Kind == FactKind.Dispensed && fact.Lot is not null && fact.On > Today.PlusDays(-40))
            .CountBy(fact => fact.Lot!).OrderByDescending(lot => lot.Value).ThenBy(lot => lot.Key, StringComparer.Ordinal).Select(lot => lot.Key).Take(3).ToArray();
        var touched = new HashSet<string>(StringComparer.Ordinal);
        var before = ListTasks(stock.Desk);
        var held = 0;
        foreach (var lot in lots)
        {
            var expected = courses.AsParallel().Where(course => IsHolder(course, lot)).Select(course => course.Course.Id).Order(StringComparer.Ordinal).ToArray();
            Assert.Equal(expected, Held(new LotRecall(stock.Desk, planning).Recall(lot, null, By, isDryRun: true)));
            var holders = new LotRecall(stock.Desk, planning).Recall(lot, null, By, isDryRun: false);
            Assert.Equal(expected, Held(holders));
            Assert.Empty(Held(new LotRecall(stock.Desk, planning).Recall(lot, null, By, isDryRun: false)));
            touched.UnionWith(holders.Select(holder => holder.Course.Patient.Id));
            held += expected.Length;
        }

        Assert.True(held > 100, $"only {held} holders");
        var after = ListTasks(stock.Desk);
        Assert.Equal(
            courses.Where(course => touched.Contains(course.Patient.Id) && course.Patient.Status == PatientStatus.Active).SelectMany(course => lots.Where(lot => IsHolder(course, lot))).Count(),
            after.Count(task => task.Task.Kind == TaskKind.RecallCall && TaskLife.IsOpen(task.State)));
        Assert.Equal(Others(before), Others(after));

        string[] Others(IEnumerable<TaskOnRecord> tasks) => [.. tasks.Where(task => !touched.Contains(task.Task.PatientId)).Select(task => task.ToString())];
    }

    [Fact]
    public async Task A_recalled_lot_is_no_supply_any_more_and_the_call_stays_until_it_is_made()
    {
        using var bench = await BenchAsync();
        var lot = LotOf(bench, "C-201");
        var call = Assert.Single(Recall(bench).Recall(lot, null, By, isDryRun: false)).Call!.Value;
        Assert.Equal(Today, RunOutOn(bench, "C-201")); // a Monday, and nothing is left for that dose
        var task = bench.Tasks()[call.Text];
        Assert.Contains($"Lot {lot} is recalled. P-SEMA: 1 sealed in hand; one open.", task.Task.Reason, StringComparison.Ordinal);

        // Planned again by a new fact, and on the days that follow, the call is still to be made.
        bench.Import($"fact_id,course_id,kind,on,note\r\nF-NEW,C-201,answered,2026-03-02,later\r\n");
        await bench.LiveUntilAsync(Instant.FromUtc(2026, 3, 6, 15, 0));
        Assert.True(TaskLife.IsOpen(bench.Tasks()[call.Text].State));
        using (var transaction = bench.Desk.Database.Begin())
        {
            transaction.Tasks.Move(call, TaskState.Done, bench.Desk.Now, By, "called; brings it back tomorrow");
            transaction.Commit();
        }

        await bench.LiveUntilAsync(Instant.FromUtc(2026, 3, 12, 15, 0));
        Assert.Equal(TaskState.Done, bench.Tasks()[call.Text].State);
    }

    [Fact]
    public async Task A_recall_taken_back_gives_the_stock_back_and_withdraws_the_calls()
    {
        using var bench = await BenchAsync();
        var lot = LotOf(bench, "C-201");
        var before = RunOutOn(bench, "C-201");
        var call = Assert.Single(Recall(bench).Recall(lot, null, By, isDryRun: false)).Call!.Value;
        Assert.Equal("C-201", Assert.Single(Recall(bench).Undo(lot, null, By, isDryRun: false)).Course.Id);
        Assert.Equal(before, RunOutOn(bench, "C-201"));
        Assert.Equal(TaskState.Withdrawn, bench.Tasks()[call.Text].State);
        Assert.Empty(Recall(bench).Undo(lot, null, By, isDryRun: false));

        // And it may be recalled once more.
        Assert.NotEqual(call, Assert.Single(Recall(bench).Recall(lot, null, By, isDryRun: false)).Call!.Value);
    }

    [Fact]
    public async Task A_fill_on_its_way_is_recalled_and_thrown_away_on_the_day_on_which_it_comes()
    {
        using var bench = await BenchAsync();
        bench.Import("fact_id,course_id,kind,on,product_id,containers,lot,until,days_supply\r\nF-WAY,C-201,dispensed,2026-03-02,P-SEMA,2,LOT-WAY,2026-03-05,56\r\n");
        var holder = Assert.Single(Recall(bench).Recall("LOT-WAY", "P-SEMA", By, isDryRun: false));
        Assert.Equal("F-WAY", Assert.Single(holder.Holding.OnTheirWay).Id);
        using var reading = bench.Desk.Database.Read();
        Assert.Equal([Today, new LocalDate(2026, 3, 5)], reading.Ledger.ListFactsOfLot("LOT-WAY").Where(fact => fact.Kind == FactKind.Discarded).Select(fact => fact.On));
        Assert.Empty(Held(Recall(bench).Recall("LOT-WAY", null, By, isDryRun: false)));
    }

    [Fact]
    public async Task From_the_day_of_the_recall_on_no_plan_counts_on_a_fill_that_is_on_its_way()
    {
        // C-201 has supply until April; two vials more are on their way, and would last until May.
        using var bench = await BenchAsync();
        var without = RunOutOn(bench, "C-201");
        bench.Import("fact_id,course_id,kind,on,product_id,containers,lot,until\r\nF-WAY,C-201,dispensed,2026-03-02,P-SEMA,2,LOT-WAY,2026-03-05\r\n");
        bench.Planning.Run();
        var counted = RunOutOn(bench, "C-201");
        Assert.True(counted > without);
        var needed = Open(bench, "C-201");
        var holder = Assert.Single(Recall(bench).Recall("LOT-WAY", null, By, isDryRun: false));
        Assert.Equal(without, RunOutOn(bench, "C-201"));
        Assert.Contains("2 on the way, to arrive on Thursday, March 5, 2026, not counted as supply from the recall on", bench.Tasks()[holder.Call!.Value.Text].Task.Reason, StringComparison.Ordinal);
        var after = Open(bench, "C-201");
        Assert.All(new[] { TaskKind.RefillContact, TaskKind.Prepare, TaskKind.HandOver }, kind => Assert.True(
            after.Single(task => task.Task.Kind == kind).Task.PlannedOn < needed.Single(task => task.Task.Kind == kind).Task.PlannedOn));

        // Nor when it comes: on its day it is thrown away, even if somebody says meanwhile that it has not come.
        await bench.LiveUntilAsync(Instant.FromUtc(2026, 3, 6, 15, 0));
        Assert.Equal(without, RunOutOn(bench, "C-201", new LocalDate(2026, 3, 6)));
        Assert.DoesNotContain(Open(bench, "C-201"), task => task.Task.Kind == TaskKind.ArrivalCheck);
        bench.Import("fact_id,course_id,kind,on,note\r\nF-NOT,C-201,void,2026-03-06,recall 2026-03-02 on its way F-WAY\r\n");
        Assert.Equal(without, RunOutOn(bench, "C-201", new LocalDate(2026, 3, 6)));
    }

    [Fact]
    public async Task A_recall_taken_back_puts_the_fill_on_its_way_again()
    {
        using var bench = await BenchAsync();
        bench.Import("fact_id,course_id,kind,on,product_id,containers,lot,until\r\nF-WAY,C-201,dispensed,2026-03-02,P-SEMA,2,LOT-WAY,2026-03-05\r\n");
        bench.Planning.Run();
        var (counted, open) = (RunOutOn(bench, "C-201"), Open(bench, "C-201").Select(task => $"{task.Task.Key} {task.Task.PlannedOn} {task.Task.Reason}").ToArray());
        var call = Assert.Single(Recall(bench).Recall("LOT-WAY", null, By, isDryRun: false)).Call!.Value;
        Assert.Equal("C-201", Assert.Single(Recall(bench).Undo("LOT-WAY", null, By, isDryRun: false)).Course.Id);
        Assert.Equal(counted, RunOutOn(bench, "C-201"));
        Assert.Equal(TaskState.Withdrawn, bench.Tasks()[call.Text].State);
        Assert.Equal(open, Open(bench, "C-201").Select(task => $"{task.Task.Key} {task.Task.PlannedOn} {task.Task.Reason}"));
        Assert.Empty(Recall(bench).Undo("LOT-WAY", null, By, isDryRun: false));

        // It comes on Thursday as expected, and nobody having confirmed it by Friday there is a call.
        await bench.LiveUntilAsync(Instant.FromUtc(2026, 3, 9, 15, 0));
        Assert.Contains(Open(bench, "C-201"), task => task.Task.Key.Text == "arrival-check/C-201/F-WAY");
        Assert.Equal("F-WAY", Assert.Single(Recall(bench).Recall("LOT-WAY", null, By, isDryRun: true)).Course.Facts.Last(fact => fact.Lot == "LOT-WAY" && fact.Kind == FactKind.Dispensed).Id);
    }

    [Fact]
    public async Task What_waits_in_the_pharmacy_of_a_recalled_lot_is_prepared_anew()
    {
        using var bench = await BenchAsync();
        var prepare = Open(bench, "C-101").Single(task => task.Task.Kind == TaskKind.Prepare).Task.Key.Text;
        bench.Import("fact_id,course_id,kind,on,product_id,containers,lot\r\nF-MADE,C-101,prepared,2026-03-02,P-SEMA,1,LOT-MADE\r\n");
        bench.Planning.Run();
        Assert.Equal(TaskState.Done, bench.Tasks()[prepare].State);
        Assert.Single(Recall(bench).Recall("LOT-MADE", null, By, isDryRun: false));
        Assert.True(TaskLife.IsOpen(bench.Tasks()[prepare].State));
        Assert.Empty(Recall(bench).Recall("LOT-MADE", null, By, isDryRun: false));
        Assert.Single(Recall(bench).Undo("LOT-MADE", null, By, isDryRun: false));
        Assert.Equal(TaskState.Done, bench.Tasks()[prepare].State);
    }

    [Fact]
    public async Task What_is_made_up_of_the_lot_and_waits_in_the_pharmacy_is_shown()
    {
        using var bench = await BenchAsync();
        bench.Import("fact_id,course_id,kind,on,product_id,containers,lot\r\nF-MADE,C-201,prepared,2026-03-02,P-SEMA,2,LOT-MADE\r\n");
        var holder = Assert.Single(Recall(bench).Recall("LOT-MADE", null, By, isDryRun: false));
        Assert.False(holder.Holding.IsHeld);
        Assert.Null(holder.Call);
        Assert.Contains("2 made up in the pharmacy (F-MADE): not to be handed over", RecallText.Of(holder), StringComparison.Ordinal);
    }

    // By the words of the rule, over the literal walk: in hand before today's doses; or in hand within the last fill's length, not past its date
    // and not counted since; or still to come. What was thrown away by its lot since it came is none.
    private static bool IsHolder(CourseSnapshot course, string lot)
    {
        var fills = course.Facts.Where(fact => fact.Kind == FactKind.Dispensed && fact.Lot == lot && fact.On <= Today && !IsVoid(course, fact))
            .Select(fill => (Fill: fill, On: course.Facts.Where(fact => fact.Kind == FactKind.Received && fact.On <= Today && fact.Note == fill.Id && !IsVoid(course, fact)).Min(fact => (LocalDate?)fact.On) ?? fill.Until ?? fill.On))
            .Where(arrival => !course.Facts.Any(fact => fact.Kind == FactKind.Discarded && fact.Lot == lot && fact.On >= arrival.On && !IsVoid(course, fact)))
            .ToArray();
        if (fills.Length == 0)
            return false;
        var from = Today.PlusDays(-(course.Course.FillDays ?? Policy.Default.FillDays));
        var record = new LiteralRecord(course, Today);
        var walk = new LiteralCourse(record, Policy.Default, new LiteralDays(record, Today.PlusDays(Policy.Default.HorizonDays + 800)), from, Today);
        if (walk.Lots[Today].Exists(held => held.Lot == lot) || fills.Any(arrival => arrival.On > Today))
            return true;
        return fills.Any(arrival => !(arrival.Fill.ExpiresOn < Today) && !record.Of(FactKind.Counted).Any(count => count.On >= LocalDate.Max(arrival.On, from) && FamilyOf(course, count) == FamilyOf(course, arrival.Fill)))
            && (fills.Any(arrival => arrival.On >= from) || walk.Lots[from].Exists(held => held.Lot == lot));
    }

    private static string FamilyOf(CourseSnapshot course, Fact fact) => course.Products[fact.ProductId!].Family;

    private static bool IsVoid(CourseSnapshot course, Fact fact) => course.Facts.Any(other => other.Kind == FactKind.Void && other.Note == fact.Id && other.On <= Today);

    private static string[] Held(IEnumerable<LotHolder> holders) => [.. holders.Where(holder => holder.Holding.IsHeld).Select(holder => holder.Course.Course.Id).Order(StringComparer.Ordinal)];

    private static CourseSnapshot[] ListCourses(Desk desk)
    {
        using var reading = desk.Database.Read();
        return [.. reading.Snapshots.List().SelectMany(patient => patient.Courses)];
    }

    private static TaskOnRecord[] ListTasks(Desk desk)
    {
        using var reading = desk.Database.Read();
        return [.. reading.Ledger.ListPatients().SelectMany(patient => reading.Tasks.ListOfPatient(patient.Id)).OrderBy(task => task.Task.Key.Text, StringComparer.Ordinal)];
    }

    private static LotRecall Recall(Bench bench) => new(bench.Desk, new PatientPlanning(bench.Desk));

    private static string LotOf(Bench bench, string courseId) =>
        ListCourses(bench.Desk).First(course => course.Course.Id == courseId).Facts.First(fact => fact.Kind == FactKind.Dispensed).Lot!;

    private static LocalDate? RunOutOn(Bench bench, string courseId, LocalDate? asOf = null)
    {
        var course = ListCourses(bench.Desk).First(course => course.Course.Id == courseId);
        return Core.Supply.SupplyComputation.Of(course, Policy.Default, asOf ?? Today).RunOutOn;
    }

    private static TaskOnRecord[] Open(Bench bench, string courseId) =>
        [.. bench.Tasks().Values.Where(task => task.Task.CourseId == courseId && TaskLife.IsOpen(task.State)).OrderBy(task => task.Task.Key.Text, StringComparer.Ordinal)];

    private static async Task<Bench> BenchAsync()
    {
        var bench = new Bench(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));
        bench.ImportDemo(Today);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        return bench;
    }
}
