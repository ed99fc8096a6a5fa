using System;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Quartz;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Jobs;

/// <summary>The service: the host with Quartz, which keeps its alarms in memory and gets them from the record.</summary>
public static class WorkerHost
{
    private static readonly TimeSpan SweepEvery = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan ReconcileEvery = TimeSpan.FromMinutes(15);

    /// <summary>Builds the host over a desk and a mail route.</summary>
    public static IHost Build(Desk desk, IMailRoute route, MailTemplates templates)
    {
        var builder = Host.CreateApplicationBuilder();
        builder.Logging.ClearProviders();
        builder.Logging.AddSimpleConsole(console => console.SingleLine = true);
        builder.Logging.AddFilter("Quartz", LogLevel.Warning);
        builder.Services.AddSystemd();
        AddWork(builder.Services, desk, route, templates);
        builder.Services.AddSingleton(desk.Time);
        builder.Services.AddSingleton<Turn>();
        builder.Services.AddSingleton<AlarmClock>();
        builder.Services.AddHostedService<FirstRound>();
        builder.AddQuartz(quartz =>
        {
            quartz.UseTimeProvider(desk.Time);
            quartz.UseInMemoryStore();
            quartz.AddJob<AlarmJob>(job => job.WithIdentity(AlarmJob.Key).StoreDurably());
            quartz.AddJob<SweepJob>(job => job.WithIdentity(SweepJob.Key).StoreDurably());
            quartz.AddJob<ReconcileJob>(job => job.WithIdentity(ReconcileJob.Key).StoreDurably());
            quartz.AddTrigger(trigger => trigger.WithIdentity("sweep", AlarmClock.Group).ForJob(SweepJob.Key)
                .StartAt(desk.Time.GetUtcNow() + SweepEvery).WithSimpleSchedule(schedule => schedule.WithInterval(SweepEvery).RepeatForever()));
            MailboxJob.AddTo(quartz, desk);
            quartz.AddTrigger(trigger => trigger.WithIdentity("reconcile", AlarmClock.Group).ForJob(ReconcileJob.Key)
                .StartAt(desk.Time.GetUtcNow() + ReconcileEvery).WithSimpleSchedule(schedule => schedule.WithInterval(ReconcileEvery).RepeatForever()));
        });
        builder.AddQuartzHostedService(options =>
        {
            options.WaitForJobsToComplete = true;
            options.AwaitApplicationStarted = true;
        });
        return builder.Build();
    }

    /// <summary>Adds what does the work, without anything that wakes it.</summary>
    public static void AddWork(IServiceCollection services, Desk desk, IMailRoute route, MailTemplates templates)
    {
        services.AddSingleton(desk);
        services.AddSingleton(route);
        services.AddSingleton(templates);
        services.AddSingleton(desk.Settings.Mail);
        services.AddSingleton<MailComposer>();
        services.AddSingleton<PatientPlanning>();
        services.AddSingleton<PlanningOnChange>();
        services.AddSingleton<DueTasks>();
        services.AddSingleton<MorningWork>();
        services.AddSingleton<OutboxDelivery>();
        services.AddSingleton<Rounds>();
        services.AddSingleton<ReturnedMailWork>();
    }

    // Makes up for what was missed, then sets the alarms for the first time.
    private sealed class FirstRound(Rounds rounds, Turn turn, AlarmClock clock, ISchedulerFactory schedulers, ILogger<FirstRound> log) : IHostedService
    {
        public async Task StartAsync(CancellationToken cancellationToken)
        {
            using (await turn.TakeAsync(cancellationToken))
                await rounds.CatchUpAsync(cancellationToken);
            await clock.SetAsync(await schedulers.GetScheduler(cancellationToken), cancellationToken);
            Waypoints.Pass(Waypoints.AlarmsSet);
            log.LogInformation("Caught up and alarms set; ready");
        }

        public Task StopAsync(CancellationToken cancellationToken)
        {
            Waypoints.Pass(Waypoints.Stopping);
            return Task.CompletedTask;
        }
    }
}
