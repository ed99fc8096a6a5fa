using System;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using NodaTime;
using Quartz;
using RefillPlanner.Service.Jobs;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Tests.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Jobs;

/// <summary>The host with the real Quartz over the record.</summary>
public sealed class WorkerHostTests
{
    [Fact]
    public async Task At_start_the_host_catches_up_and_sets_one_trigger_an_alarm()
    {
        using var bench = new Bench(new DateTimeOffset(2026, 3, 2, 14, 30, 0, TimeSpan.Zero));
        bench.ImportDemo(new LocalDate(2026, 3, 2));
        var arrived = Arrival(bench, "Refill-due list, Monday, March 2");
        using var host = WorkerHost.Build(bench.Desk, new MailRoutes(1, () => bench.Route), new MailTemplates());
        await host.StartAsync(TestContext.Current.CancellationToken);
        await arrived.WaitAsync(TimeSpan.FromMinutes(1), TestContext.Current.CancellationToken);
        var scheduler = await host.Services.GetRequiredService<ISchedulerFactory>().GetScheduler(TestContext.Current.CancellationToken);
        var alarms = bench.Rounds.ListAlarms();
        Assert.True(alarms.Count > 5, $"{alarms.Count} alarms");
        foreach (var alarm in alarms.Where(alarm => alarm.At > bench.Desk.Now))
        {
            var trigger = await scheduler.GetTrigger(new TriggerKey($"{alarm.Kind} {alarm.Name}", "alarms"), TestContext.Current.CancellationToken);
            Assert.Equal(alarm.At.ToDateTimeOffset(), trigger!.StartTimeUtc);
        }

        await host.StopAsync(TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task The_alarm_clock_wakes_the_morning_list_at_its_hour()
    {
        // Monday 07:29 in New York: the list is due at 07:30.
        using var bench = new Bench(new DateTimeOffset(2026, 3, 2, 12, 29, 0, TimeSpan.Zero));
        bench.ImportDemo(new LocalDate(2026, 3, 2));
        var arrived = Arrival(bench, "Refill-due list, Monday, March 2");
        using var host = WorkerHost.Build(bench.Desk, new MailRoutes(1, () => bench.Route), new MailTemplates());
        await host.StartAsync(TestContext.Current.CancellationToken);
        Assert.False(arrived.IsCompleted);

        // The scheduler waits on the fake clock: it is moved on until the scheduler has seen it.
        using var patience = new PeriodicTimer(TimeSpan.FromMilliseconds(100));
        for (var step = 0; step < 300 && !arrived.IsCompleted; step++)
        {
            bench.Time.Advance(TimeSpan.FromSeconds(1));
            await patience.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        Assert.True(arrived.IsCompleted);
        await host.StopAsync(TestContext.Current.CancellationToken);
    }

    private static Task Arrival(Bench bench, string subject)
    {
        var arrived = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        bench.Route.Answer = letter =>
        {
            if (letter.Subject == subject)
                arrived.TrySetResult();
            return new Delivery(DeliveryOutcome.Accepted, "250 taken");
        };
        return arrived.Task;
    }
}
