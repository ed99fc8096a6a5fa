using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>A day of a site, for those of its open tasks that wait for an answer, or for the others.</summary>
internal readonly record struct TaskDay(string SiteId, bool IsWaiting, LocalDate DueOn)
{
    /// <summary>As a person is told.</summary>
    public string ToText() => $"{SiteId} {DueOn:uuuu-MM-dd}{(IsWaiting ? " waiting" : string.Empty)}";
}

/// <summary>
/// Of each day of a site, the digests of the open tasks that fall on it, combined: a task that is gone is noticed by who reads the list. What a
/// transaction changes is gathered and written once a day before its end.
/// </summary>
internal sealed class TaskDays(Statements statements)
{
    private readonly Dictionary<TaskDay, long> _changes = [];

    /// <summary>A task is there now, or is no longer; one that is closed counts on no day.</summary>
    public void Change(TaskOnRecord task, long digest)
    {
        if (TaskLife.IsOpen(task.State))
            Combine(_changes, DayOf(task), digest);
    }

    /// <summary>The day on which an open task counts.</summary>
    public static TaskDay DayOf(TaskOnRecord task) => new(task.Task.SiteId, task.State == TaskState.Waiting, task.Task.DueOn);

    /// <summary>Combines a digest with those of its day.</summary>
    public static void Combine(Dictionary<TaskDay, long> days, TaskDay day, long digest) => days[day] = RowDigest.Combine(days.GetValueOrDefault(day), digest);

    /// <summary>A task with its digest; null: it is damaged.</summary>
    public static (TaskOnRecord? Task, long Digest) Read(PreparedStatement row) =>
        (row.IsWhole(TaskStore.DigestedColumns) ? TaskStore.ReadWhole(row) : null, row.Long(TaskStore.DigestedColumns));

    /// <summary>The combined digests of the days of a site through one, and of all days for those that wait for an answer.</summary>
    public IReadOnlyDictionary<TaskDay, long> ListThrough(string siteId, LocalDate through)
    {
        Write();
        return statements.For("""
            SELECT is_waiting, due_on, digest FROM task_days WHERE site_id = ?1 AND is_waiting = 0 AND due_on <= ?2
            UNION ALL SELECT is_waiting, due_on, digest FROM task_days WHERE site_id = ?1 AND is_waiting = 1;
            """).Bind(siteId).Bind(through)
            .List(row => (Day: new TaskDay(siteId, row.Long(0) != 0, row.Date(1)), Digest: row.Long(2)))
            .GroupBy(day => day.Day).ToDictionary(day => day.Key, day => day.Aggregate(0L, (combined, one) => RowDigest.Combine(combined, one.Digest)));
    }

    /// <summary>Writes what was gathered.</summary>
    public void Write()
    {
        foreach (var (day, change) in _changes.Where(change => change.Value != 0))
        {
            var before = statements.For("SELECT digest FROM task_days WHERE site_id = ? AND is_waiting = ? AND due_on = ?;")
                .Bind(day.SiteId).Bind(day.IsWaiting ? 1 : 0).Bind(day.DueOn).FindNumber();
            var after = RowDigest.Combine(before, change);
            if (after == 0)
            {
                statements.For("DELETE FROM task_days WHERE site_id = ? AND is_waiting = ? AND due_on = ?;").Bind(day.SiteId).Bind(day.IsWaiting ? 1 : 0).Bind(day.DueOn).Run();
                continue;
            }

            statements.For("INSERT INTO task_days (site_id, is_waiting, due_on, digest) VALUES (?, ?, ?, ?) ON CONFLICT (site_id, is_waiting, due_on) DO UPDATE SET digest = excluded.digest;")
                .Bind(day.SiteId).Bind(day.IsWaiting ? 1 : 0).Bind(day.DueOn).Bind(after).Run();
        }

        _changes.Clear();
    }
}
