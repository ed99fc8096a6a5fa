using System;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Faults.Tests.Harness;
using Xunit;

namespace RefillPlanner.Faults.Tests.Runs;

/// <summary>The real program, killed with SIGKILL at each named point that its work passes.</summary>
public sealed class CrashPointTests(ImportedRoster rosters)
{
    // So many that letters go in several groups.
    private const int Courses = 55;

    [Theory]
    [InlineData("planning-begun", 1)]
    [InlineData("planning-begun", 2)]
    [InlineData("planned", 1)]
    [InlineData("planned", 2)]
    [InlineData("plan-committed", 1)]
    [InlineData("plan-committed", 2)]
    [InlineData("due-decided", 1)]
    [InlineData("due-decided", 4)]
    [InlineData("due-committed", 1)]
    [InlineData("due-committed", 3)]
    [InlineData("list-decided", 1)]
    [InlineData("list-decided", 2)]
    [InlineData("list-committed", 1)]
    [InlineData("list-committed", 2)]
    [InlineData("claiming", 1)]
    [InlineData("claiming", 2)]
    [InlineData("claimed", 1)]
    [InlineData("claimed", 2)]
    [InlineData("handing-over", 1)]
    [InlineData("handing-over", 7)]
    [InlineData("answered", 1)]
    [InlineData("answered", 2)]
    [InlineData("marking", 1)]
    [InlineData("marking", 2)]
    [InlineData("marked", 1)]
    [InlineData("marked", 2)]
    [InlineData("recovering", 1)]
    [InlineData("recovered", 1)]
    [InlineData("alarms-set", 1)]
    [InlineData("stopping", 1)]
    public async Task P1_Killed_at_a_named_point_the_service_goes_on_where_it_was(string point, int times)
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters, Courses);
        if (point.StartsWith("recover", StringComparison.Ordinal))
            await KillAsync(pharmacy, Pharmacy.At(0, 15), "claimed", 1);
        await KillAsync(pharmacy, Pharmacy.At(0, 15, 1), point, times);
        await pharmacy.LiveAsync(Pharmacy.At(0, 15, 5));
        await pharmacy.LiveAsync(Pharmacy.At(0, 15, 25));
        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(0, 15, 30));
        Assert.Empty(PromiseChecker.Run(evidence));
    }

    // It ends at the very point, which the list of points passed proves.
    private static async Task KillAsync(Pharmacy pharmacy, Instant at, string point, int times)
    {
        var run = pharmacy.Start(at, FaultOrder.KillAt(point, times));
        if (await run.SentOrEndedAsync() is null)
            await run.TerminateAsync();
        Assert.Equal(ServiceRun.Killed, await run.EndAsync());
        Assert.Equal((point, times), (run.Points[^1], run.Points.Count(passed => passed == point)));
        pharmacy.NoteKill(run);
    }

    [Fact]
    public async Task P2_Killed_between_the_answer_and_the_mark_a_message_is_unknown_and_goes_once_more_under_the_same_name()
    {
        using var pharmacy = await Pharmacy.OpenAsync(rosters);
        var run = pharmacy.Start(Pharmacy.At(0, 15), FaultOrder.KillAt("answered"));
        Assert.Equal(ServiceRun.Killed, await run.EndAsync());
        pharmacy.NoteKill(run);
        var taken = pharmacy.Mail.Taken.Select(mail => mail.MessageId).ToArray();
        Assert.NotEmpty(taken);
        Assert.All(taken, id => Assert.Equal("sending", StateOf(pharmacy, id)));

        await pharmacy.LiveAsync(Pharmacy.At(0, 15, 5));
        Assert.All(taken, id => Assert.Equal("unknown", StateOf(pharmacy, id)));
        Assert.All(taken, id => Assert.Single(pharmacy.Mail.Taken, mail => mail.MessageId == id));

        await pharmacy.LiveAsync(Pharmacy.At(0, 15, 40));
        await pharmacy.LiveAsync(Pharmacy.At(0, 18));
        Assert.All(taken, id => Assert.Equal("accepted", StateOf(pharmacy, id)));
        Assert.All(taken, id => Assert.Equal(2, pharmacy.Mail.Taken.Count(mail => mail.MessageId == id)));
        Assert.Empty(PromiseChecker.Run(await pharmacy.EvidenceAsync(Pharmacy.At(0, 19))));
    }

    private static string StateOf(Pharmacy pharmacy, string messageId) => DatabaseRecord.Read(pharmacy.Database).Messages.Single(message => message.MessageId == messageId).State;
}
