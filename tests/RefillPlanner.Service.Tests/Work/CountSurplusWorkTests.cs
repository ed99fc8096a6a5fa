using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>
/// From a count to the question whether doses were given, over the demo of Monday, March 2, 2026. C-201: two doses of 0.1 mL since February 16 (0.102 mL with
/// what is lost), and a vial of 2 mL that should hold 1.796 mL.
/// </summary>
public sealed class CountSurplusWorkTests
{
    private const string Key = "missed-dose-check/C-201/count F-N";
    private const string Header = "fact_id,course_id,kind,on,product_id,containers,volume_ml,note\r\n";

    [Fact]
    public async Task A_count_with_two_doses_too_many_is_a_task_until_the_days_are_recorded_as_not_given()
    {
        using var bench = await BenchAsync();
        var task = bench.Tasks()[Key];
        Assert.Contains("found 4 mL of P-SEMA; by the record it should be 3.796 mL", task.Task.Reason, StringComparison.Ordinal);
        Assert.Equal(new LocalDate(2026, 3, 2), task.Task.DueOn);
        bench.Import(Header + "F-M,C-201,missed,2026-02-23,,,,\r\n");
        bench.Planning.Run();
        Assert.Equal(TaskState.Withdrawn, bench.Tasks()[Key].State);
        bench.Import(Header + "F-V,C-201,void,2026-03-02,,,,F-M\r\n");
        bench.Planning.Run();
        Assert.True(TaskLife.IsOpen(bench.Tasks()[Key].State)); // taken back, the question is there again
    }

    [Fact]
    public async Task Ticked_off_it_stays_so()
    {
        using var bench = await BenchAsync();
        var ticked = new TaskTicking(bench.Desk, new PatientPlanning(bench.Desk)).Do(Key, new TaskRequest(TaskRequestKind.Done, "Ann Awl, RPh", "another vial was in use", To: null), isDryRun: false);
        Assert.Equal(TaskState.Done, ticked.After!.State);
        await bench.LiveUntilAsync(Instant.FromUtc(2026, 3, 12, 15, 0));
        Assert.Equal(TaskState.Done, bench.Tasks()[Key].State);
    }

    [Fact]
    public async Task The_alert_of_the_day_says_it()
    {
        using var bench = await BenchAsync();
        await bench.LiveUntilAsync(Instant.FromUtc(2026, 3, 3, 15, 0));
        using var reading = bench.Desk.Database.Read();
        var alert = reading.Outbox.Find(new Core.Messages.MessageKey("step-up-alert/C-201/2026-03-03"))
            ?? throw new InvalidOperationException("no alert");
        Assert.Contains("about 2 doses may not have been given", alert.Message.Text, StringComparison.Ordinal);
    }

    private static async Task<Bench> BenchAsync()
    {
        var bench = new Bench(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));
        bench.ImportDemo(new LocalDate(2026, 3, 2));
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        bench.Import(Header + "F-N,C-201,counted,2026-03-02,P-SEMA,1,2,\r\n");
        bench.Planning.Run();
        return bench;
    }
}
