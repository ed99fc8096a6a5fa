using System;
using System.Collections.Generic;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>The truth about what is due. Every change of state is a row of the audit.</summary>
public sealed class TaskStore
{
    internal const string TaskColumns = "task_key, kind, site_id, patient_id, course_id, sharps_id, planned_on, due_on, due_at, reason, state, changed_at, changed_by, version, postponed_because, digest";

    // The digest is of the columns before it.
    internal const int DigestedColumns = 15;

    // Read from the index alone.
    private const string PlannedUntil =
        """
        SELECT task.patient_id, task.due_at FROM sites CROSS JOIN tasks AS task
        WHERE task.site_id = sites.site_id AND task.state NOT IN ('done', 'withdrawn') AND task.due_on <= ?1 AND task.state = 'planned' AND task.due_at <= ?2
        """;

    // A container that was another patient's before has closed tasks of that one too.
    private const string OfKey =
        "WHERE substr(task_key, instr(task_key, '/') + 1) = substr(?1, instr(?1, '/') + 1) AND task_key = ?1 ORDER BY state IN ('done', 'withdrawn'), changed_at DESC LIMIT 1";

    private readonly Statements _statements;
    private readonly AuditStore _audit;
    private readonly TaskDays _days;

    internal TaskStore(Statements statements, AuditStore audit, TaskDays days) => (_statements, _audit, _days) = (statements, audit, days);

    /// <summary>One task; null: not on record.</summary>
    /// <exception cref="DamagedRowException">It is not as it was written.</exception>
    public TaskOnRecord? Find(TaskKey key) => _statements.For($"SELECT {TaskColumns} FROM tasks {OfKey};").Bind(key.Text)
        .Find(row => Read(row) is var task && task.Task.Key == key ? task : throw DamagedRowException.Incomplete("tasks", key.Text));

    /// <summary>All tasks of a patient, of courses and sharps containers, in any state.</summary>
    /// <exception cref="DamagedRowException">One of them is not as it was written, or another patient's.</exception>
    public IReadOnlyList<TaskOnRecord> ListOfPatient(string patientId)
    {
        TaskOnRecord[] tasks = [.. _statements.For($"SELECT {TaskColumns} FROM tasks WHERE patient_id = ?1;").Bind(patientId).List(Read)];
        return Array.TrueForAll(tasks, task => task.Task.PatientId == patientId) ? tasks : throw DamagedRowException.Incomplete("tasks", patientId);
    }

    /// <summary>The patients of planned tasks whose alarm goes by an instant, each once; whose goes first comes first.</summary>
    public IReadOnlyList<string> ListPatientsPlannedUntil(Instant until) => [.. _statements.For($"""
        SELECT patient_id FROM ({PlannedUntil}) GROUP BY patient_id ORDER BY min(due_at), patient_id;
        """)
        .Bind(DayAfter(until)).Bind(until).List(row => row.Text(0))];

    /// <summary>The instants by one at which the alarm of a planned task goes, each once, in order.</summary>
    public IReadOnlyList<Instant> ListAlarmsUntil(Instant until) =>
        [.. _statements.For($"SELECT DISTINCT due_at FROM ({PlannedUntil}) ORDER BY due_at;").Bind(DayAfter(until)).Bind(until).List(row => row.Moment(0))];

    /// <summary>Tasks of a kind that a site's staff still have to see to, earliest first.</summary>
    public IReadOnlyList<TaskOnRecord> ListOpen(string siteId, TaskKind kind) =>
        [.. _statements.For($"""
            SELECT {TaskColumns} FROM tasks WHERE site_id = ?1 AND kind = ?2 AND state NOT IN ('done', 'withdrawn') AND state <> 'planned' ORDER BY due_on, task_key;
            """).Bind(siteId).Bind(Kebab.Of(kind)).List(Read)];

    /// <summary>Tasks of a site that were due or waited for an answer, and whose day lies before another; earliest first.</summary>
    public IReadOnlyList<TaskOnRecord> ListDueBefore(string siteId, LocalDate day) =>
        [.. _statements.For($"""
            SELECT {TaskColumns} FROM tasks
            WHERE site_id = ?1 AND state NOT IN ('done', 'withdrawn') AND due_on < ?2 AND state IN ('due', 'waiting') ORDER BY due_on, task_key;
            """).Bind(siteId).Bind(day).List(Read)];

    /// <summary>Makes the table as planning wants it: the changes were found from the table as this transaction sees it.</summary>
    public void Apply(IReadOnlyList<TaskChange> changes, Instant at)
    {
        foreach (var change in changes)
        {
            if (change.IsNew)
                Insert(change.Task!, at);
            else if (change.Task is PlannedTask task)
                Update(change.OnRecord ?? Demand(change.Key), task, at, change.IsAgain);
            else
                Move(change.OnRecord ?? Demand(change.Key), change.IsMet ? TaskState.Done : TaskState.Withdrawn, at, TaskLife.Planner, note: null);
        }
    }

    /// <summary>Moves a task to another state.</summary>
    /// <param name="key">The task.</param>
    /// <param name="to">The state.</param>
    /// <param name="at">When.</param>
    /// <param name="by">Who.</param>
    /// <param name="note">Why; null: nothing to say.</param>
    /// <param name="version">The version that the person saw; null: whatever it is.</param>
    /// <returns>False when the task has another version by now: somebody else was first.</returns>
    /// <exception cref="InvalidOperationException">The life table has no such move, or there is no such task.</exception>
    public bool Move(TaskKey key, TaskState to, Instant at, string by, string? note, int? version = null)
    {
        var task = Demand(key);
        if (version is int seen && seen != task.Version)
            return false;
        Move(task, to, at, by, note);
        return true;
    }

    /// <summary>Puts an open task off to another day, on which planning leaves it.</summary>
    /// <param name="key">The task.</param>
    /// <param name="dueOn">The open day.</param>
    /// <param name="dueAt">The hour of that day.</param>
    /// <param name="because">The person's reason.</param>
    /// <param name="at">When it was decided.</param>
    /// <param name="by">Who decided.</param>
    /// <exception cref="InvalidOperationException">There is no such task, or it is closed.</exception>
    public void Postpone(TaskKey key, LocalDate dueOn, Instant dueAt, string because, Instant at, string by)
    {
        var before = Demand(key);
        if (!TaskLife.IsOpen(before.State))
            throw new InvalidOperationException($"Task {key} is {Kebab.Of(before.State)}: it is not put off.");
        Write(before, before with { Task = before.Task with { DueOn = dueOn, DueAt = dueAt }, Version = before.Version + 1, PostponedBecause = because });
        _audit.Add(at, by, AuditSubject.Task, key.Text, LocalDatePattern.Iso.Format(before.Task.DueOn), LocalDatePattern.Iso.Format(dueOn), because);
    }

    /// <summary>The moves of a task's life, in order.</summary>
    public IReadOnlyList<AuditRow> ListMoves(TaskKey key) => _audit.ListAbout(AuditSubject.Task, key.Text);

    // Nowhere on earth is it later than the day after that of Greenwich.
    private static LocalDate DayAfter(Instant until) => until.InUtc().Date.PlusDays(1);

    private void Insert(PlannedTask planned, Instant at)
    {
        var task = new TaskOnRecord { Task = planned, State = TaskState.Planned, ChangedAt = at, ChangedBy = TaskLife.Planner, Version = 1 };
        var insert = _statements.For($"INSERT INTO tasks ({TaskColumns}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?);");
        Bind(insert.BeginDigest(), task).BindDigest().Run();
        _days.Change(task, insert.BoundDigest);
        _audit.Add(at, TaskLife.Planner, AuditSubject.Task, planned.Key.Text, null, Kebab.Of(TaskState.Planned));
    }

    private void Update(TaskOnRecord task, PlannedTask planned, Instant at, bool isAgain) =>
        Write(task, (isAgain ? PlannedAgain(task, at) : task) with { Task = planned });

    private TaskOnRecord Demand(TaskKey key) => Find(key) ?? throw new InvalidOperationException($"There is no task {key}.");

    private void Move(TaskOnRecord task, TaskState to, Instant at, string by, string? note)
    {
        if (task.State == TaskState.Done && at - task.ChangedAt > Duration.FromMinutes(TaskLife.UndoMinutes))
            throw new InvalidOperationException($"Task {task.Task.Key} was ticked off more than {TaskLife.UndoMinutes} minutes ago.");
        var ready = task.State == TaskState.Planned && to == TaskState.Done ? Moved(task, TaskState.Due, at, by, TaskLife.BeforeItsDay) : task;
        Write(task, Moved(ready, to, at, by, note));
    }

    private TaskOnRecord PlannedAgain(TaskOnRecord task, Instant at) => TaskLife.MayBePlannedAgain(task)
        ? Audited(task, TaskState.Planned, at, TaskLife.Planner, "the need is there again")
        : throw new InvalidOperationException($"Task {task.Task.Key} was closed by {task.ChangedBy}: planning does not plan it anew.");

    // A move of the life table.
    private TaskOnRecord Moved(TaskOnRecord task, TaskState to, Instant at, string by, string? note)
    {
        TaskLife.Demand(task.Task.Key, task.State, to);
        return Audited(task, to, at, by, note);
    }

    private TaskOnRecord Audited(TaskOnRecord task, TaskState to, Instant at, string by, string? note)
    {
        _audit.Add(at, by, AuditSubject.Task, task.Task.Key.Text, Kebab.Of(task.State), Kebab.Of(to), note);

        // What is planned anew begins anew: an earlier postponement was of an earlier need.
        return task with { State = to, ChangedAt = at, ChangedBy = by, Version = task.Version + 1, PostponedBecause = to == TaskState.Planned ? null : task.PostponedBecause };
    }

    // All that may change of a task; its key, kind and subject never do.
    private void Write(TaskOnRecord before, TaskOnRecord after)
    {
        var (task, digest) = (after.Task, Digest(after));
        _statements.For("""
            UPDATE tasks SET site_id = ?, planned_on = ?, due_on = ?, due_at = ?, reason = ?, state = ?, changed_at = ?, changed_by = ?, version = ?,
                postponed_because = ?, digest = ?
            WHERE patient_id = ? AND task_key = ?;
            """)
            .Bind(task.SiteId).Bind(task.PlannedOn).Bind(task.DueOn).Bind(task.DueAt).Bind(task.Reason).Bind(Kebab.Of(after.State)).Bind(after.ChangedAt)
            .Bind(after.ChangedBy).Bind(after.Version).Bind(after.PostponedBecause).Bind(digest).Bind(task.PatientId).Bind(task.Key.Text).Run();
        _days.Change(before, Digest(before));
        _days.Change(after, digest);
    }

    private static PreparedStatement Bind(PreparedStatement statement, TaskOnRecord task) => statement
        .Bind(task.Task.Key.Text).Bind(Kebab.Of(task.Task.Kind)).Bind(task.Task.SiteId).Bind(task.Task.PatientId).Bind(task.Task.CourseId).Bind(task.Task.SharpsId)
        .Bind(task.Task.PlannedOn).Bind(task.Task.DueOn).Bind(task.Task.DueAt).Bind(task.Task.Reason).Bind(Kebab.Of(task.State))
        .Bind(task.ChangedAt).Bind(task.ChangedBy).Bind(task.Version).Bind(task.PostponedBecause);

    private static long Digest(TaskOnRecord task) => RowDigest.Empty
        .With(task.Task.Key.Text).With(Kebab.Of(task.Task.Kind)).With(task.Task.SiteId).With(task.Task.PatientId).With(task.Task.CourseId).With(task.Task.SharpsId)
        .With(task.Task.PlannedOn).With(task.Task.DueOn).With(task.Task.DueAt).With(task.Task.Reason).With(Kebab.Of(task.State))
        .With(task.ChangedAt).With(task.ChangedBy).With(task.Version).With(task.PostponedBecause).Value;

    private static TaskOnRecord Read(PreparedStatement row) => ReadWhole(row.Whole("tasks", DigestedColumns));

    internal static TaskOnRecord ReadWhole(PreparedStatement row) => new()
    {
        Task = new PlannedTask
        {
            Key = new TaskKey(row.Text(0)),
            Kind = Columns.Member<TaskKind>(row.Text(1)),
            SiteId = row.Text(2),
            PatientId = row.Text(3),
            CourseId = row.TextOrNull(4),
            SharpsId = row.TextOrNull(5),
            PlannedOn = row.Date(6),
            DueOn = row.Date(7),
            DueAt = row.Moment(8),
            Reason = row.Text(9),
        },
        State = Columns.Member<TaskState>(row.Text(10)),
        ChangedAt = row.Moment(11),
        ChangedBy = row.Text(12),
        Version = row.Whole(13),
        PostponedBecause = row.TextOrNull(14),
    };
}
