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
    /// <summary>Exit code of a process that SIGKILL ended.</summary>
    internal const int Killed = 128 + 9;

    [Fact]
    public async Task P1_After_kills_at_any_moment_the_task_table_is_that_of_a_run_without_them_and_the_promise_is_kept()
    {
        var courses = FaultReport.Setting("REFILL_PLANNER_COURSES", 20);
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

    [Theory]
    [InlineData("planning-begun", 2)]
    [InlineData("planned", 2)]
    [InlineData("plan-committed", 2)]
    [InlineData("due-decided", 4)]
    [InlineData("due-committed", 3)]
    [InlineData("list-decided", 2)]
    [InlineData("list-committed", 1)]
    [InlineData("claiming", 5)]
    [InlineData("claimed", 2)]
    [InlineData("handing-over", 3)]
    [InlineData("answered", 2)]
    [InlineData("marking", 3)]
    [InlineData("marked", 4)]
    [InlineData("recovering", 1)]
    [InlineData("recovered", 1)]
    [InlineData("alarms-set", 1)]
    [InlineData("stopping", 1)]
    public async Task P1_Killed_at_a_named_point_the_service_goes_on_where_it_was(string point, int times)
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        foreach (var (minute, n) in new[] { (0, 1), (5, times) })
        {
            var run = pharmacy.Start(Pharmacy.At(0, 15, minute), FaultOrder.KillAt(point, n));
            if (await run.ReadyOrEndedAsync() is null)
                await run.TerminateAsync();
            Assert.Equal(Killed, await run.EndAsync());
            Assert.Equal((point, n), (run.Points[^1], run.Points.Count(passed => passed == point)));
            pharmacy.NoteKill(run);
        }

        await pharmacy.LiveAsync(Pharmacy.At(0, 15, 50));
        await pharmacy.LiveAsync(Pharmacy.At(0, 20));
        await pharmacy.LiveAsync(Pharmacy.At(1, 15));
        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(1, 16));
        Assert.Empty(PromiseChecker.Run(evidence));
    }

    [Fact]
    public async Task P2_Killed_between_the_answer_and_the_mark_the_message_is_unknown_and_goes_once_more_under_the_same_name()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        var run = pharmacy.Start(Pharmacy.At(0, 15), FaultOrder.KillAt("answered"));
        Assert.Equal(Killed, await run.EndAsync());
        pharmacy.NoteKill(run);
        var mail = Assert.Single(pharmacy.Mail.Taken);
        Assert.Equal("sending", StateOf(pharmacy, mail.MessageId));

        await pharmacy.LiveAsync(Pharmacy.At(0, 15, 5));
        Assert.Equal("unknown", StateOf(pharmacy, mail.MessageId));
        Assert.Single(pharmacy.Mail.Taken, taken => taken.MessageId == mail.MessageId);

        await pharmacy.LiveAsync(Pharmacy.At(0, 15, 40));
        await pharmacy.LiveAsync(Pharmacy.At(0, 18));
        Assert.Equal("accepted", StateOf(pharmacy, mail.MessageId));
        Assert.Equal(2, pharmacy.Mail.Taken.Count(taken => taken.MessageId == mail.MessageId));
        Assert.Empty(PromiseChecker.Run(await pharmacy.EvidenceAsync(Pharmacy.At(0, 19))));
    }

    private static string StateOf(Pharmacy pharmacy, string messageId) => DatabaseRecord.Read(pharmacy.Database).Messages.Single(message => message.MessageId == messageId).State;
}
