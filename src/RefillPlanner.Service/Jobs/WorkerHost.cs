using System;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Hosting.Systemd;
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

    // In all a stop may take 25 seconds.
    private static readonly TimeSpan PatienceOfAStop = TimeSpan.FromSeconds(20);

    /// <summary>Builds the host over a desk and the ways for mail to leave.</summary>
    /// <param name="desk">Database, settings, clock.</param>
    /// <param name="routes">The ways for mail to leave.</param>
    /// <param name="templates">The texts.</param>
    /// <param name="folder">The state folder, for the health file; null: none is written.</param>
    public static IHost Build(Desk desk, MailRoutes routes, MailTemplates templates, string? folder = null)
    {
        // Without the files that a host looks for and watches: this program has a file of its own, which is read once.
        var builder = Host.CreateEmptyApplicationBuilder(new HostApplicationBuilderSettings());
        Logs.Set(builder.Logging);
        Metrics.Export(builder);
        builder.Services.Configure<HostOptions>(host => host.ShutdownTimeout = PatienceOfAStop);
        AddCare(builder.Services, folder);
        builder.Services.AddHostedService(services => services.GetRequiredService<Pulse>());
        AddWork(builder.Services, desk, routes, templates);
        builder.Services.AddSingleton(desk.Time);
        builder.Services.AddSingleton<AlarmClock>();
        builder.Services.AddHostedService<FirstRound>();
        builder.AddQuartz(quartz =>
        {
            quartz.UseTimeProvider(desk.Time);
            quartz.UseInMemoryStore();
            quartz.AddJob<AlarmJob>(job => job.WithIdentity(AlarmJob.Key).StoreDurably());
            quartz.AddJob<SweepJob>(job => job.WithIdentity(SweepJob.Key).StoreDurably());
            quartz.AddJob<ReconcileJob>(job => job.WithIdentity(ReconcileJob.Key).StoreDurably());
            quartz.AddJob<SendJob>(job => job.WithIdentity(SendJob.Key).StoreDurably());
            quartz.AddTrigger(trigger => trigger.WithIdentity("send", AlarmClock.Group).ForJob(SendJob.Key).StartNow());
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

    /// <summary>Runs the host until it is told to stop, or ends itself; then lets it go.</summary>
    /// <param name="host">The host.</param>
    /// <param name="stopping">Tells it to stop, as SIGTERM does.</param>
    /// <returns>The exit code.</returns>
    /// <exception cref="Exception">The first round failed: what it threw.</exception>
    public static async Task<int> RunAsync(IHost host, CancellationToken stopping)
    {
        using (host)
        {
            var ending = host.Services.GetRequiredService<Ending>();
            var life = host.Services.GetRequiredService<IHostApplicationLifetime>();
            await using var stop = stopping.Register(life.StopApplication);
            try
            {
                await host.StartAsync(CancellationToken.None);
                await host.WaitForShutdownAsync(CancellationToken.None);
            }
            catch (Exception fault) when (fault is OperationCanceledException or AggregateException && ending.IsStopping)
            {
                // Told to stop while it began, or a round did not end in time: what it left is on record, and is taken up at the next start.
            }

            return ending.ExitCode;
        }
    }

    /// <summary>Adds what does the work, without anything that wakes it.</summary>
    public static void AddWork(IServiceCollection services, Desk desk, MailRoutes routes, MailTemplates templates)
    {
        services.AddSingleton(desk);
        services.AddSingleton(routes);
        services.AddSingleton(templates);
        services.AddSingleton(desk.Settings.Mail);
        services.AddSingleton<MailComposer>();
        services.AddSingleton<PatientPlanning>();
        services.AddSingleton<PlanningOnChange>();
        services.AddSingleton<DueTasks>();
        services.AddSingleton<MorningWork>();
        services.AddSingleton<DailyReport>();
        services.AddSingleton<PatientLetters>();
        services.AddSingleton<SendingCheck>();
        services.AddSingleton<MailPauses>();
        services.AddSingleton<OutboxDelivery>();
        services.AddSingleton(new Progress(desk.Time));
        services.AddSingleton<Health>();
        services.AddSingleton<ServiceMeter>();
        services.AddSingleton<ClockGuard>();
        services.AddSingleton<Rounds>();
        services.AddSingleton<ReturnedMailWork>();
    }

    /// <summary>Adds what runs the work in its turn, and says how it goes.</summary>
    public static void AddCare(IServiceCollection services, string? folder)
    {
        services.AddSingleton<ISystemdNotifier, SystemdNotifier>();
        services.AddSingleton(new StateFolder(folder));
        services.AddSingleton<Turn>();
        services.AddSingleton<Ending>();
        services.AddSingleton<Pulse>();
        services.AddSingleton<RoundRunner>();
    }

    // Makes up for what was missed, then sets the alarms for the first time.
    private sealed class FirstRound(Rounds rounds, Turn turn, AlarmClock clock, Progress progress, ISchedulerFactory schedulers, ILogger<FirstRound> log) : IHostedService
    {
        public async Task StartAsync(CancellationToken cancellationToken)
        {
            using (await turn.TakeAsync(cancellationToken))
                rounds.CatchUp(cancellationToken);
            await clock.SetAsync(await schedulers.GetScheduler(cancellationToken), cancellationToken);
            progress.Mark();
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
