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
        SELECT task.rowid, task.due_at FROM sites CROSS JOIN tasks AS task
        WHERE task.site_id = sites.site_id AND task.state NOT IN ('done', 'withdrawn') AND task.due_on <= ?1 AND task.state = 'planned' AND task.due_at <= ?2
        """;

    private readonly Statements _statements;
    private readonly AuditStore _audit;
    private readonly TaskDays _days;

    internal TaskStore(Statements statements, AuditStore audit, TaskDays days) => (_statements, _audit, _days) = (statements, audit, days);

    /// <summary>One task; null: not on record.</summary>
    /// <exception cref="DamagedRowException">It is not as it was written.</exception>
    public TaskOnRecord? Find(TaskKey key) => Select("WHERE task_key = ?1").Bind(key.Text).Find(row => Read(row).Task.Key == key ? Read(row) : throw DamagedRowException.Incomplete("tasks", key.Text));

    /// <summary>All tasks of a patient, of courses and sharps containers, in any state.</summary>
    /// <exception cref="DamagedRowException">One of them is not as it was written, or another patient's.</exception>
    public IReadOnlyList<TaskOnRecord> ListOfPatient(string patientId)
    {
        TaskOnRecord[] tasks = [.. Select("WHERE patient_id = ?1").Bind(patientId).List(Read)];
        return Array.TrueForAll(tasks, task => task.Task.PatientId == patientId) ? tasks : throw DamagedRowException.Incomplete("tasks", patientId);
    }

    /// <summary>The patients of planned tasks whose alarm goes by an instant, each once; whose goes first comes first.</summary>
    public IReadOnlyList<string> ListPatientsPlannedUntil(Instant until) => [.. _statements.For($"""
        SELECT tasks.patient_id FROM ({PlannedUntil}) AS planned JOIN tasks ON tasks.rowid = planned.rowid
        GROUP BY tasks.patient_id ORDER BY min(planned.due_at), tasks.patient_id;
        """)
        .Bind(DayAfter(until)).Bind(until).List(row => row.Text(0))];

    /// <summary>The instants by one at which the alarm of a planned task goes, each once, in order.</summary>
    public IReadOnlyList<Instant> ListAlarmsUntil(Instant until) =>
        [.. _statements.For($"SELECT DISTINCT due_at FROM ({PlannedUntil}) ORDER BY due_at;").Bind(DayAfter(until)).Bind(until).List(row => row.Moment(0))];

    /// <summary>Tasks of a kind that a site's staff still have to see to, earliest first.</summary>
    public IReadOnlyList<TaskOnRecord> ListOpen(string siteId, TaskKind kind) =>
        [.. Select("WHERE site_id = ?1 AND kind = ?2 AND state NOT IN ('done', 'withdrawn') AND state <> 'planned' ORDER BY due_on, task_key").Bind(siteId).Bind(Kebab.Of(kind)).List(Read)];

    /// <summary>Tasks of a site that were due or waited for an answer, and whose day lies before another; earliest first.</summary>
    public IReadOnlyList<TaskOnRecord> ListDueBefore(string siteId, LocalDate day) =>
        [.. Select("WHERE site_id = ?1 AND state NOT IN ('done', 'withdrawn') AND due_on < ?2 AND state IN ('due', 'waiting') ORDER BY due_on, task_key").Bind(siteId).Bind(day).List(Read)];

    /// <summary>Makes the table as planning wants it.</summary>
    public void Apply(IReadOnlyList<TaskChange> changes, Instant at)
    {
        foreach (var change in changes)
        {
            if (change.IsNew)
                Insert(change.Task!, at);
            else if (change.Task is PlannedTask task)
                Update(task, at, change.IsAgain);
            else
                Move(change.Key, change.IsMet ? TaskState.Done : TaskState.Withdrawn, at, TaskLife.Planner, note: null);
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
        var task = Find(key) ?? throw new InvalidOperationException($"There is no task {key}.");
        if (version is int seen && seen != task.Version)
            return false;
        if (task.State == TaskState.Planned && to == TaskState.Done)
            task = SetState(task, TaskState.Due, at, by, TaskLife.BeforeItsDay);
        if (task.State == TaskState.Done && at - task.ChangedAt > Duration.FromMinutes(TaskLife.UndoMinutes))
            throw new InvalidOperationException($"Task {key} was ticked off more than {TaskLife.UndoMinutes} minutes ago.");
        SetState(task, to, at, by, note);
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
        var before = Find(key) ?? throw new InvalidOperationException($"There is no task {key}.");
        if (!TaskLife.IsOpen(before.State))
            throw new InvalidOperationException($"Task {key} is {Kebab.Of(before.State)}: it is not put off.");
        var task = before with { Task = before.Task with { DueOn = dueOn, DueAt = dueAt }, Version = before.Version + 1, PostponedBecause = because };
        _statements.For("UPDATE tasks SET due_on = ?, due_at = ?, version = ?, postponed_because = ?, digest = ? WHERE task_key = ?;")
            .Bind(dueOn).Bind(dueAt).Bind(task.Version).Bind(because).Bind(Digest(task)).Bind(key.Text).Run();
        Changed(before, task);
        _audit.Add(at, by, AuditSubject.Task, key.Text, LocalDatePattern.Iso.Format(before.Task.DueOn), LocalDatePattern.Iso.Format(dueOn), because);
    }

    /// <summary>The moves of a task's life, in order.</summary>
    public IReadOnlyList<AuditRow> ListMoves(TaskKey key) => _audit.ListAbout(AuditSubject.Task, key.Text);

    // Nowhere on earth is it later than the day after that of Greenwich.
    private static LocalDate DayAfter(Instant until) => until.InUtc().Date.PlusDays(1);

    private PreparedStatement Select(string where) => _statements.For($"SELECT {TaskColumns} FROM tasks {where};");

    private void Insert(PlannedTask planned, Instant at)
    {
        var task = new TaskOnRecord { Task = planned, State = TaskState.Planned, ChangedAt = at, ChangedBy = TaskLife.Planner, Version = 1 };
        Bind(_statements.For($"INSERT INTO tasks ({TaskColumns}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?);").BeginDigest(), task).BindDigest().Run();
        _days.Change(task, Digest(task));
        _audit.Add(at, TaskLife.Planner, AuditSubject.Task, planned.Key.Text, null, Kebab.Of(TaskState.Planned));
    }

    private void Update(PlannedTask planned, Instant at, bool isAgain)
    {
        var task = Find(planned.Key)!;
        if (isAgain)
            task = PlanAgain(task, at);
        _statements.For("UPDATE tasks SET site_id = ?, planned_on = ?, due_on = ?, due_at = ?, reason = ?, digest = ? WHERE task_key = ?;")
            .Bind(planned.SiteId).Bind(planned.PlannedOn).Bind(planned.DueOn).Bind(planned.DueAt).Bind(planned.Reason)
            .Bind(Digest(task with { Task = planned })).Bind(planned.Key.Text).Run();
        Changed(task, task with { Task = planned });
    }

    private TaskOnRecord SetState(TaskOnRecord before, TaskState state, Instant at, string by, string? note)
    {
        TaskLife.Demand(before.Task.Key, before.State, state);
        return WriteState(before, state, at, by, note);
    }

    private TaskOnRecord PlanAgain(TaskOnRecord before, Instant at) => TaskLife.MayBePlannedAgain(before)
        ? WriteState(before, TaskState.Planned, at, TaskLife.Planner, "the need is there again")
        : throw new InvalidOperationException($"Task {before.Task.Key} was closed by {before.ChangedBy}: planning does not plan it anew.");

    private TaskOnRecord WriteState(TaskOnRecord before, TaskState state, Instant at, string by, string? note)
    {
        // What is planned anew begins anew: an earlier postponement was of an earlier need.
        var postponed = state == TaskState.Planned ? null : before.PostponedBecause;
        var task = before with { State = state, ChangedAt = at, ChangedBy = by, Version = before.Version + 1, PostponedBecause = postponed };
        _statements.For("UPDATE tasks SET state = ?, changed_at = ?, changed_by = ?, version = ?, postponed_because = ?, digest = ? WHERE task_key = ?;")
            .Bind(Kebab.Of(state)).Bind(at).Bind(by).Bind(task.Version).Bind(postponed).Bind(Digest(task)).Bind(task.Task.Key.Text).Run();
        Changed(before, task);
        _audit.Add(at, by, AuditSubject.Task, task.Task.Key.Text, Kebab.Of(before.State), Kebab.Of(state), note);
        return task;
    }

    private void Changed(TaskOnRecord before, TaskOnRecord after)
    {
        _days.Change(before, Digest(before));
        _days.Change(after, Digest(after));
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
