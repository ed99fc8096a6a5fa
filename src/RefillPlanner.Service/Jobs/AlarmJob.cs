using System.Threading;
using System.Threading.Tasks;
using Quartz;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Jobs;

/// <summary>What an alarm carries: ids only.</summary>
/// <param name="Kind">What it wakes.</param>
/// <param name="SiteId">The site, or empty.</param>
public sealed record AlarmInput(AlarmKind Kind, string SiteId);

/// <summary>An alarm goes. What then happens depends on the record.</summary>
[DisallowConcurrentExecution]
public sealed class AlarmJob(Rounds rounds, RoundRunner runner) : IJob<AlarmInput>
{
    /// <summary>The job's identity.</summary>
    public static readonly JobKey Key = new("alarm", AlarmClock.Group);

    /// <inheritdoc/>
    public async ValueTask Execute(IJobExecutionContext context, AlarmInput input, CancellationToken cancellationToken = default) => await runner.RunAsync(
        "alarm",
        async stop =>
        {
            rounds.Handle(input.Kind, input.SiteId, stop);
            await context.Scheduler.TriggerJob(SendJob.Key, stop);
        },
        cancellationToken);
}

/// <summary>Every minute: what a lost alarm left, and messages whose next try has come.</summary>
[DisallowConcurrentExecution]
public sealed class SweepJob(Rounds rounds, RoundRunner runner) : IJob
{
    /// <summary>The job's identity.</summary>
    public static readonly JobKey Key = new("sweep", AlarmClock.Group);

    /// <inheritdoc/>
    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) => await runner.RunAsync(
        "sweep",
        async stop =>
        {
            rounds.Sweep(stop);
            await context.Scheduler.TriggerJob(SendJob.Key, stop);
        },
        cancellationToken);
}

/// <summary>Every quarter of an hour: the alarms are made again from the record.</summary>
[DisallowConcurrentExecution]
public sealed class ReconcileJob(AlarmClock clock, RoundRunner runner) : IJob
{
    /// <summary>The job's identity.</summary>
    public static readonly JobKey Key = new("reconcile", AlarmClock.Group);

    /// <inheritdoc/>
    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) =>
        await runner.RunAsync("reconcile", stop => clock.SetAsync(context.Scheduler, stop), cancellationToken);
}
