using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading.Tasks;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Faults.Tests.Harness;

namespace RefillPlanner.Faults.Tests.Runs;

/// <summary>Some days of a pharmacy, two sessions of the service a day, with kills thrown in at moments that a seed decides.</summary>
/// <param name="Days">How many days.</param>
/// <param name="Kills">How many kills in all.</param>
/// <param name="Seed">Decides the moments.</param>
internal sealed record KillRun(int Days, int Kills, int Seed)
{
    private const int MinutesUntilTriedAgain = 50;

    // About so many points are passed and so many letters given in a session, and so long does its busy part take.
    private const int MostPoints = 60;
    private const int MostLetters = 10;
    private const int MostMilliseconds = 1_200;
    private static readonly int[] SessionHours = [15, 20];

    /// <summary>Lives through it.</summary>
    public async Task<Evidence> LiveAsync(Pharmacy pharmacy)
    {
        var dice = new Random(Seed);
        var killsOf = Enumerable.Range(0, Kills).CountBy(_ => (Day: dice.Next(Days), Hour: SessionHours[dice.Next(SessionHours.Length)])).ToDictionary();
        for (var day = 0; day < Days; day++)
        {
            await pharmacy.RecordAsync(Pharmacy.At(day, 14), $"SA-{day}-1", FaultRoster.CanaryCourse, "answered", "--note", "later");
            if (day == 2)
                await pharmacy.OptOutAsync(Pharmacy.At(day, 14, 30));
            foreach (var hour in SessionHours)
                await LiveSessionAsync(pharmacy, day, hour, killsOf.GetValueOrDefault((day, hour)), dice);
            await pharmacy.RecordAsync(Pharmacy.At(day, 22), $"SA-{day}-2", FaultRoster.CanaryCourse + "-2", "missed");
        }

        return await pharmacy.EvidenceAsync(Pharmacy.At(Days - 1, 23));
    }

    private static async Task LiveSessionAsync(Pharmacy pharmacy, int day, int hour, int kills, Random dice)
    {
        for (var minute = 0; minute < kills; minute++)
        {
            var order = ThrowOrder(dice);
            var run = pharmacy.Start(Pharmacy.At(day, hour, minute), order);
            if (await run.SentOrEndedAsync() is int code)
            {
                if (code != ServiceRun.Killed)
                    throw new InvalidOperationException($"With {order} the service ended with {code}:\n{string.Join('\n', run.Lines)}");
                pharmacy.NoteKill(run);
            }
            else
            {
                await pharmacy.KillAsync(run);
            }
        }

        await pharmacy.LiveAsync(Pharmacy.At(day, hour, MinutesUntilTriedAgain));
    }

    // At any point, in the middle of a talk with the mail server, or at any time.
    private static FaultOrder ThrowOrder(Random dice) => dice.Next(3) switch
    {
        0 => FaultOrder.KillAt(FaultOrder.AnyPoint, 1 + dice.Next(MostPoints), dice.Next(4)),
        1 => FaultOrder.KillAt("handing-over", 1 + dice.Next(MostLetters), dice.Next(4)),
        _ => FaultOrder.KillAt(FaultOrder.FirstMoment, 1, 1 + dice.Next(MostMilliseconds)),
    };

    /// <summary>The task table as far as kills must not change it.</summary>
    public static IReadOnlyList<string> Tasks(Evidence evidence) => [.. evidence.Record.Tasks.Select(task => $"{task.Key} {task.Kind} {task.State} {task.DueOn}")];
}
