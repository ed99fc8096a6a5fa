using System;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Faults.Tests.Harness;
using Xunit;

namespace RefillPlanner.Faults.Tests.Runs;

/// <summary>Day after day with another fault in each session, thrown by a seed, for as many minutes as REFILL_PLANNER_SOAK_MINUTES says.</summary>
public sealed class SoakTests(ImportedRoster rosters, ITestOutputHelper output)
{
    private const int DaysBetweenLooks = 7;

    [Fact]
    public async Task In_a_mix_of_all_faults_the_promise_is_kept()
    {
        var minutes = FaultReport.Setting("REFILL_PLANNER_SOAK_MINUTES", 0);
        Assert.SkipUnless(minutes > 0, "only where REFILL_PLANNER_SOAK_MINUTES is set");
        var seed = FaultReport.Setting("REFILL_PLANNER_SEED", 1);
        var dice = new Random(seed);
        using var over = new CancellationTokenSource(TimeSpan.FromMinutes(minutes));
        using var pharmacy = await Pharmacy.OpenAsync(rosters, FaultReport.Setting("REFILL_PLANNER_COURSES", 40));
        var day = 0;
        for (; !over.IsCancellationRequested; day++)
        {
            await LiveSessionAsync(pharmacy, Pharmacy.At(day, 15), dice);
            await LiveSessionAsync(pharmacy, Pharmacy.At(day, 20), dice);
            if (day % DaysBetweenLooks == 0)
                await pharmacy.LookAtListAsync(Pharmacy.At(day, 22));
        }

        var evidence = await pharmacy.EvidenceAsync(Pharmacy.At(day - 1, 23));
        var copies = evidence.Mails.Count - evidence.Mails.DistinctBy(mail => mail.MessageId).Count();
        FaultReport.Say(output, $"Soak: {minutes} minutes, seed {seed}: {day} days, {pharmacy.Lives.Count} lives, {pharmacy.Kills} kills, {evidence.Record.Messages.Count} messages, {evidence.Mails.Count} mails taken, {copies} copies, {evidence.Ambiguous.Count} times nobody could know");
        foreach (var state in evidence.Record.Messages.CountBy(message => message.State))
            FaultReport.Say(output, $"  {state.Key}: {state.Value}");
        Assert.Empty(PromiseChecker.Run(evidence));
    }

    private static async Task LiveSessionAsync(Pharmacy pharmacy, Instant at, Random dice)
    {
        var mode = MailMode.Bad[dice.Next(MailMode.Bad.Count)];
        switch (dice.Next(5))
        {
            case 0:
                await EndAsync(pharmacy, pharmacy.Start(at, KillRun.ThrowOrder(dice)));
                break;
            case 1:
                pharmacy.Mail.Mode = mode;
                await EndAsync(pharmacy, pharmacy.Start(at));
                break;
            case 2:
                pharmacy.Mail.Mode = mode;
                await EndAsync(pharmacy, pharmacy.Start(at, KillRun.ThrowOrder(dice)));
                break;
            case 3:
                var frozen = pharmacy.Start(at, FaultOrder.FreezeAt(FaultOrder.AnyPoint));
                await frozen.FrozenAsync();
                await frozen.ThawAsync();
                await EndAsync(pharmacy, frozen);
                break;
        }

        pharmacy.Mail.Mode = MailMode.Normal;
        await pharmacy.LiveAfterALookAsync(at + Duration.FromMinutes(50));
    }

    // It ends of itself, or by a kill: when it has sent, or when the server keeps it waiting.
    private static async Task EndAsync(Pharmacy pharmacy, ServiceRun run)
    {
        await Task.WhenAny(run.SentOrEndedAsync(), pharmacy.Mail.HungAsync());
        await pharmacy.KillAsync(run);
    }
}
