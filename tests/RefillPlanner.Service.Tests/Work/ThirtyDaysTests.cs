using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>The demo lived through for thirty days on a fake clock: every task due fires once, on its open day, at its hour.</summary>
public sealed class ThirtyDaysTests
{
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 13, 0, 0, TimeSpan.Zero);
    private static readonly Instant End = Instant.FromUtc(2026, 4, 1, 13, 0);

    [Fact]
    public async Task Every_task_due_fires_once_on_its_open_day_at_its_hour()
    {
        using var bench = new Bench(Start);
        bench.ImportDemo(Today);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        await bench.LiveUntilAsync(End);

        var fired = 0;
        using var reading = bench.Desk.Database.Read();
        var sites = reading.Ledger.ListSites().ToDictionary(site => site.Id);
        var patients = reading.Ledger.ListPatients().ToDictionary(patient => patient.Id);
        foreach (var task in bench.Tasks().Values)
        {
            var becameDue = reading.Tasks.ListMoves(task.Task.Key).Where(move => move.After == "due" && move.Before == "planned").ToArray();
            Assert.True(becameDue.Length <= 1, $"{task.Task.Key} fired {becameDue.Length} times");
            if (becameDue.Length == 0)
            {
                Assert.True(task.State is TaskState.Planned or TaskState.Withdrawn or TaskState.Done, $"{task.Task.Key} is {task.State} and never fired");
                Assert.False(task.State == TaskState.Planned && task.Task.DueAt <= End - Duration.FromDays(1), $"{task.Task.Key} was due at {task.Task.DueAt} and did not fire");
                continue;
            }

            fired++;
            var site = sites[task.Task.SiteId];
            Assert.True(new OpenDays(site).IsOpen(Desk.Today(site, becameDue[0].At)), $"{task.Task.Key} fired on a closed day, {becameDue[0].At}");
            Assert.True(becameDue[0].At >= task.Task.DueAt, $"{task.Task.Key} fired at {becameDue[0].At}, before its hour {task.Task.DueAt}");
        }

        Assert.True(fired > 60, $"only {fired} tasks fired");
        Assert.All(reading.Outbox.List(Core.Messages.MessageState.Accepted).Where(message => message.Message.Kind == Core.Messages.MessageKind.PatientNotice), message =>
        {
            var patient = patients[message.Message.PatientId!];
            var hour = message.ChangedAt.InZone(DateTimeZoneProviders.Tzdb[patient.TimeZone ?? sites[patient.SiteId].TimeZone]).TimeOfDay;
            Assert.True(hour >= new LocalTime(9, 0) && hour < new LocalTime(19, 0), $"{message.Message.Key} went at {hour}");
            Assert.True(patient.MayBeMailed, $"{patient.Id} did not agree");
        });
        var perDay = reading.Outbox.List(Core.Messages.MessageState.Accepted)
            .Where(message => message.Message.Kind == Core.Messages.MessageKind.PatientNotice)
            .CountBy(message => (message.Message.PatientId, message.ChangedAt.InZone(DateTimeZoneProviders.Tzdb["America/New_York"]).Date));
        Assert.All(perDay, day => Assert.Equal(1, day.Value));
        Assert.Equal(bench.Route.Letters.Count, bench.Route.Letters.Select(letter => letter.MessageId).Distinct().Count());
    }

    [Fact]
    public async Task Killing_and_restarting_in_between_changes_nothing()
    {
        var plain = await LiveAsync(killAtEach: int.MaxValue);
        var killed = await LiveAsync(killAtEach: 7);
        Assert.Equal(plain.Tasks, killed.Tasks);
        Assert.Equal(plain.Letters, killed.Letters);
        Assert.True(plain.Letters.Count > 60, $"only {plain.Letters.Count} letters");
    }

    private static async Task<(List<string> Tasks, List<string> Letters)> LiveAsync(int killAtEach)
    {
        using var bench = new Bench(Start);
        bench.ImportDemo(Today);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        var alarms = 0;
        await bench.LiveUntilAsync(End, async _ =>
        {
            if (++alarms % killAtEach == 0)
                await bench.KillAndRestartAsync();
        });
        return (
            [.. bench.Tasks().Values.Select(task => $"{task.Task.Key} {task.State} {task.Task.DueOn:uuuu-MM-dd}").Order(StringComparer.Ordinal)],
            [.. bench.Route.Letters.Select(letter => $"{letter.Date:yyyy-MM-dd} {letter.To} {letter.Subject} {letter.MessageId}").Order(StringComparer.Ordinal)]);
    }
}
