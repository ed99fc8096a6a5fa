using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.Logging;
using Quartz;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Jobs;

/// <summary>Sends what may go. It takes no turn: a mail server that lets one wait holds up nothing else.</summary>
[DisallowConcurrentExecution]
public sealed class SendJob(Rounds rounds, RoundRunner runner, ILogger<SendJob> log) : IJob
{
    /// <summary>The job's identity.</summary>
    public static readonly JobKey Key = new("send", AlarmClock.Group);

    /// <inheritdoc/>
    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) => await runner.RunAsideAsync(
        "send",
        async stop =>
        {
            var accepted = await rounds.SendAsync(stop);
            log.LogInformation("Mail round ended: {Accepted} messages accepted", accepted);
        },
        cancellationToken);
}
