using System;
using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Core.Tasks;

/// <summary>One change that planning makes to the task table.</summary>
/// <param name="Key">The task.</param>
/// <param name="Task">What it is to be now; null: it is withdrawn.</param>
/// <param name="IsNew">Whether the table does not have it yet.</param>
/// <param name="IsMet">Whether a task no longer wanted is done rather than withdrawn: the facts show that its need was met.</param>
/// <param name="IsAgain">Whether a task that planning itself had closed is planned anew: its need is there again.</param>
/// <param name="OnRecord">The task as the table has it; null: it is new, or whoever changes the table is to look.</param>
public sealed record TaskChange(TaskKey Key, PlannedTask? Task, bool IsNew, bool IsMet = false, bool IsAgain = false, TaskOnRecord? OnRecord = null)
{
    /// <summary>
    /// What makes the table equal to what is wanted. The same need moves its date or changes its reason; one no longer wanted is
    /// withdrawn; one that a person has done is never revived, one that planning itself had closed is when its need returns; a postponed one keeps its date. Wanting the same again changes nothing.
    /// </summary>
    /// <param name="wanted">All tasks that planning wants now for this course or patient, each key once.</param>
    /// <param name="onRecord">All tasks of the same course or patient on record, in any state.</param>
    /// <param name="isMet">Whether the facts show that the need behind a task has been met.</param>
    public static IReadOnlyList<TaskChange> List(IReadOnlyList<PlannedTask> wanted, IReadOnlyList<TaskOnRecord> onRecord, Func<TaskOnRecord, bool> isMet)
    {
        var changes = new List<TaskChange>();
        var known = onRecord.ToDictionary(task => task.Task.Key);
        foreach (var task in wanted)
        {
            if (!known.TryGetValue(task.Key, out var record))
                changes.Add(new TaskChange(task.Key, task, IsNew: true));
            else if (TaskLife.IsOpen(record.State) && Kept(task, record) is var kept && kept != record.Task)
                changes.Add(new TaskChange(task.Key, kept, IsNew: false, OnRecord: record));
            else if (TaskLife.MayBePlannedAgain(record) && !isMet(record))
                changes.Add(new TaskChange(task.Key, task, IsNew: false, IsAgain: true, OnRecord: record));
        }

        var keys = wanted.Select(task => task.Key).ToHashSet();
        changes.AddRange(onRecord
            .Where(record => TaskLife.IsOpen(record.State) && !keys.Contains(record.Task.Key))
            .Select(record => new TaskChange(record.Task.Key, Task: null, IsNew: false, IsMet: isMet(record), OnRecord: record)));
        return changes;
    }

    // Once its alarm has gone, or a person has moved it, the day stays; only the reason follows the facts. What planning finds has no date but
    // the day on which it was found.
    private static PlannedTask Kept(PlannedTask task, TaskOnRecord record)
    {
        if (record.State == TaskState.Planned && record.PostponedBecause is null)
            return task;
        var kept = task with { DueOn = record.Task.DueOn, DueAt = record.Task.DueAt };
        return task.Kind is TaskKind.SupplyReview or TaskKind.MissedDoseCheck ? kept with { PlannedOn = kept.DueOn } : kept;
    }
}
