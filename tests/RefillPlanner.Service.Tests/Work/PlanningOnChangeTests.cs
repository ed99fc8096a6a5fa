using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Settings;
using RefillPlanner.Service.Tests.Acceptance;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>Who is planned again, and who need not be.</summary>
public sealed class PlanningOnChangeTests
{
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 13, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task On_each_of_thirty_days_planning_all_changes_nothing_after_planning_on_change()
    {
        using var bench = new Bench(Start);
        bench.ImportDemo(Today);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        var looked = new HashSet<LocalDate>();
        await bench.LiveUntilAsync(Instant.FromUtc(2026, 4, 1, 13, 0), _ =>
        {
            if (!looked.Add(bench.Desk.Now.InUtc().Date))
                return Task.CompletedTask;
            bench.Planning.Run();
            var before = Told(bench);
            Assert.Empty(new PatientPlanning(bench.Desk).PlanEach(ListPatientIds(bench.Desk)).Failed);
            Assert.Equal(before, Told(bench));
            return Task.CompletedTask;
        });
        Assert.True(looked.Count >= 30, $"only {looked.Count} days");
    }

    [Fact]
    public void Only_the_patient_about_whom_something_new_is_on_record_is_planned_again()
    {
        using var bench = new Bench(Start);
        bench.ImportDemo(Today);
        Assert.True(bench.Planning.Run().Planned > 40);
        Assert.Equal(0, bench.Planning.Run().Planned);
        bench.Import("fact_id,course_id,kind,on,note\r\nF-NEW,C-101,answered,2026-03-02,later\r\n");
        Assert.Equal(1, bench.Planning.Run().Planned);
        Assert.Equal(0, bench.Planning.Run().Planned);
    }

    [Fact]
    public void A_changed_setting_moves_the_tasks_of_all()
    {
        using var bench = new Bench(Start);
        bench.ImportDemo(Today);
        bench.Planning.Run();
        var before = bench.Tasks();
        var changed = bench.Desk with { Settings = new PlannerSettings { Policy = new Policy { ContactOpenDays = 8 } } };
        Assert.True(new PlanningOnChange(changed, new PatientPlanning(changed)).Run().Planned > 10);
        var moved = bench.Tasks().Values.Where(task => task.Task.Kind == TaskKind.RefillContact && task.State == TaskState.Planned).ToArray();
        Assert.NotEmpty(moved);
        Assert.All(moved, task => Assert.True(task.Task.PlannedOn < before[task.Task.Key.Text].Task.PlannedOn, $"{task.Task.Key} stayed on {task.Task.PlannedOn}"));
        Assert.Equal(0, new PlanningOnChange(changed, new PatientPlanning(changed)).Run().Planned);
    }

    [Fact]
    public void Another_name_of_a_drug_is_on_the_list_after_the_next_planning()
    {
        using var bench = new Bench(Start);
        bench.ImportDemo(Today);
        bench.Planning.Run();
        using (var transaction = bench.Desk.Database.Begin())
        {
            foreach (var product in transaction.Ledger.ListProducts().Where(product => product.Drug == "semaglutide"))
                transaction.Ledger.Put(product with { Drug = "invented name" });
            transaction.Commit();
        }

        bench.Planning.Run();
        using var reading = bench.Desk.Database.Read();
        var medicines = reading.Ledger.ListSites().SelectMany(site => reading.DueList.List(site.Id, Today.PlusDays(60)).Tasks).Select(task => task.Course?.Medicine ?? string.Empty).ToArray();
        Assert.Contains(medicines, medicine => medicine.StartsWith("invented name, ", StringComparison.Ordinal));
        Assert.DoesNotContain(medicines, medicine => medicine.StartsWith("semaglutide, ", StringComparison.Ordinal));
    }

    [Fact]
    public void Planning_all_of_a_generated_roster_changes_nothing_is_stopped_and_taken_up_again()
    {
        using var stock = new GeneratedStock(3_000);
        var planning = new PatientPlanning(stock.Desk);
        Assert.Empty(new PlanningOnChange(stock.Desk, planning).Run().Failed);
        var patients = ListPatientIds(stock.Desk).Count;
        var looked = 0;
        Assert.Equal(0, FullPlanning.Run(stock.Desk, planning, some => Interlocked.Add(ref looked, some), TestContext.Current.CancellationToken).Planned);
        Assert.Equal(patients, looked);

        // Stopped after the first patients; what is done is not done again.
        using var stop = new CancellationTokenSource();
        Assert.Throws<OperationCanceledException>(() => FullPlanning.Run(stock.Desk, planning, _ => stop.Cancel(), stop.Token));
        looked = 0;
        FullPlanning.Run(stock.Desk, planning, some => Interlocked.Add(ref looked, some), TestContext.Current.CancellationToken);
        Assert.InRange(looked, 1, patients - 500);
    }

    [Fact]
    public void A_packed_record_gives_the_same_figures_as_the_ledger()
    {
        using var stock = new GeneratedStock(2_000);
        new PlanningOnChange(stock.Desk, new PatientPlanning(stock.Desk)).Run();
        var bench = new Workbench();
        using var reading = stock.Desk.Database.Read();
        var compared = 0;
        foreach (var planned in reading.Planning.ListAfter(string.Empty, int.MaxValue))
        {
            var snapshot = reading.Snapshots.Find(planned.PatientId)!;
            var packed = PlanningStore.Unpack(planned, reading.Snapshots.ReadReference())!;
            foreach (var day in new[] { Today, Today.PlusDays(11), Today.PlusDays(200) })
            {
                var expected = PlanningPipeline.Measure(snapshot.Courses, snapshot.Sharps, Policy.Default, day, bench).Bytes.ToArray();
                Assert.Equal(expected, PlanningPipeline.Measure(packed.Courses, packed.Sharps, Policy.Default, day, bench).Bytes.ToArray());
                compared++;
            }
        }

        Assert.True(compared > 5_000);
    }

    private static string[] Told(Bench bench) => [.. bench.Tasks().Values.Select(task => task.ToString()).Order(StringComparer.Ordinal)];

    private static List<string> ListPatientIds(Desk desk)
    {
        using var reading = desk.Database.Read();
        return [.. reading.Snapshots.ListPatientIds()];
    }
}
