using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using Quartz;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Jobs;

/// <summary>
/// Sets Quartz's triggers from the record: one an alarm, under the alarm's own name, as instants in UTC. A trigger that is lost, doubled or late
/// changes nothing: what it wakes looks at the record.
/// </summary>
public sealed class AlarmClock(Rounds rounds)
{
    /// <summary>The group of every job and trigger of this program.</summary>
    public const string Group = "refill-planner";

    private const string AlarmGroup = "alarms";

    /// <summary>Makes the triggers equal to the alarms of the next 48 hours.</summary>
    public async Task SetAsync(IScheduler scheduler, CancellationToken cancellation)
    {
        await scheduler.UnscheduleJobs(GroupMatcher<TriggerKey>.GroupEquals(AlarmGroup), cancellation);
        foreach (var alarm in rounds.ListAlarms())
        {
            var trigger = TriggerBuilder.Create<AlarmJob>()
                .WithIdentity($"{alarm.Kind} {alarm.Name}", AlarmGroup)
                .ForJob(AlarmJob.Key)
                .UsingInput(new AlarmInput(alarm.Kind, alarm.SiteId))
                .StartAt(alarm.At.ToDateTimeOffset())
                .Build();
            await scheduler.ScheduleTrigger(trigger, TriggerConflict.Replace, cancellation);
        }
    }
}
