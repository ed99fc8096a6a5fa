using System;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.Logging;
using Quartz;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Jobs;

/// <summary>
/// Every five minutes, where a mailbox is configured: what came to it. It takes no turn, so that an IMAP server that hangs holds up no sending;
/// what is done about one mail is one transaction.
/// </summary>
[DisallowConcurrentExecution]
public sealed class MailboxJob(ReturnedMailWork work, RoundRunner runner, ILogger<MailboxJob> log) : IJob
{
    /// <summary>The job's identity.</summary>
    public static readonly JobKey Key = new("mailbox", AlarmClock.Group);

    private static readonly TimeSpan Every = TimeSpan.FromMinutes(5);

    /// <summary>Adds the job with its trigger, the first time one minute from now; nothing where no mailbox is configured.</summary>
    public static void AddTo(IQuartzBuilder quartz, Desk desk)
    {
        if (desk.Settings.Mailbox.Host is null)
            return;
        quartz.AddJob<MailboxJob>(job => job.WithIdentity(Key).StoreDurably());
        quartz.AddTrigger(trigger => trigger.WithIdentity("mailbox", AlarmClock.Group).ForJob(Key)
            .StartAt(desk.Time.GetUtcNow() + TimeSpan.FromMinutes(1)).WithSimpleSchedule(schedule => schedule.WithInterval(Every).RepeatForever()));
    }

    /// <inheritdoc/>
    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) =>
        await runner.RunAsideAsync("mailbox", ReadAsync, cancellationToken, isVital: false);

    private async Task ReadAsync(CancellationToken stop)
    {
        var round = await work.ReadAsync(stop);
        if (round.Failure is string failure)
            log.LogWarning("The mailbox could not be read ({Failure}); it is tried again in five minutes", failure);
        else if (round.Bounced + round.OptedOut > 0)
            log.LogInformation("Mailbox: {Read} mails read, {Bounced} messages came back, {OptedOut} patients opted out", round.Read, round.Bounced, round.OptedOut);
    }
}
