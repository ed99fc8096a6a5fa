using System;
using System.Linq;
using System.Threading.Tasks;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Faults.Tests.Harness;
using Xunit;

namespace RefillPlanner.Faults.Tests.Runs;

/// <summary>
/// The real program, killed with SIGKILL at random moments of some days and started again. REFILL_PLANNER_KILLS, _DAYS, _COURSES and _SEED make
/// it longer.
/// </summary>
public sealed class KillTests(ImportedRoster rosters, ITestOutputHelper output)
{
    [Fact]
    public async Task P1_After_kills_at_any_moment_the_task_table_is_that_of_a_run_without_them_and_the_promise_is_kept()
    {
        var courses = FaultReport.Setting("REFILL_PLANNER_COURSES", 40);
        var run = new KillRun(FaultReport.Setting("REFILL_PLANNER_DAYS", 4), FaultReport.Setting("REFILL_PLANNER_KILLS", 12), FaultReport.Setting("REFILL_PLANNER_SEED", 1));
        output.WriteLine($"{run}");
        using var quiet = await Pharmacy.OpenAsync(rosters, courses);
        using var killed = await Pharmacy.OpenAsync(rosters, courses);
        var expected = await (run with { Kills = 0 }).LiveAsync(quiet);
        var evidence = await run.LiveAsync(killed);

        var copies = evidence.Mails.Count - evidence.Mails.DistinctBy(mail => mail.MessageId).Count();
        var lost = expected.Record.Messages.Select(message => message.Key).Except(evidence.Record.Messages.Select(message => message.Key), StringComparer.Ordinal).Count();
        FaultReport.Say(output, $"P1: {killed.Kills} kills over {run.Days} days with {courses} random courses, seed {run.Seed}: {evidence.Record.Messages.Count} messages, {evidence.Mails.Count} mails taken, {copies} copies, {evidence.Ambiguous.Count} times nobody could know, {lost} lost");
        Assert.Equal(run.Kills, killed.Kills);
        Assert.Empty(PromiseChecker.Run(expected));
        Assert.Empty(PromiseChecker.Run(evidence));
        Assert.Equal(KillRun.Tasks(expected), KillRun.Tasks(evidence));
        Assert.Equal(0, lost);
        Assert.True(evidence.Mails.Count > 0 && evidence.Acknowledged.Count >= run.Days, "nothing happened");
    }
}
