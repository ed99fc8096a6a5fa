using System;
using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>The truth about what is due. Every change of state is a row of its own in <c>task_moves</c>.</summary>
public sealed class TaskStore
{
    private const string TaskColumns = "task_key, kind, site_id, patient_id, course_id, sharps_id, planned_on, due_on, due_at, reason, state, changed_at, changed_by, version, postponed_because";

    // Read from the index alone.
    private const string PlannedUntil =
        """
        SELECT task.rowid, task.due_at FROM sites CROSS JOIN tasks AS task
        WHERE task.site_id = sites.site_id AND task.state NOT IN ('done', 'withdrawn') AND task.due_on <= ?1 AND task.state = 'planned' AND task.due_at <= ?2
        """;

    private readonly Statements _statements;

    internal TaskStore(Statements statements) => _statements = statements;

    /// <summary>One task; null: not on record.</summary>
    public TaskOnRecord? Find(TaskKey key) => Select("WHERE task_key = ?1").Bind(key.Text).Find(Read);

    /// <summary>All tasks of a patient, of courses and sharps containers, in any state.</summary>
    public IReadOnlyList<TaskOnRecord> ListOfPatient(string patientId) => [.. Select("WHERE patient_id = ?1").Bind(patientId).List(Read)];

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
            Move(key, TaskState.Due, at, by, "before its day");
        var from = task.State == TaskState.Planned && to == TaskState.Done ? TaskState.Due : task.State;
        TaskLife.Demand(key, from, to);
        if (from == TaskState.Done && at - task.ChangedAt > Duration.FromMinutes(TaskLife.UndoMinutes))
            throw new InvalidOperationException($"Task {key} was ticked off more than {TaskLife.UndoMinutes} minutes ago.");
        SetState(key, to, at, by);
        AddMove(key, from, to, at, by, note);
        return true;
    }

    /// <summary>The moves of a task's life, in order: state, when, by whom.</summary>
    public IReadOnlyList<(string? From, string To, Instant At, string By)> ListMoves(TaskKey key) =>
        [.. _statements.For("SELECT from_state, to_state, moved_at, moved_by FROM task_moves WHERE task_key = ? ORDER BY move_id;").Bind(key.Text)
            .List(row => (row.TextOrNull(0), row.Text(1), row.Moment(2), row.Text(3)))];

    // Nowhere on earth is it later than the day after that of Greenwich.
    private static LocalDate DayAfter(Instant until) => until.InUtc().Date.PlusDays(1);

    private PreparedStatement Select(string where) => _statements.For($"SELECT {TaskColumns} FROM tasks {where};");

    private void Insert(PlannedTask task, Instant at)
    {
        _statements.For("""
            INSERT INTO tasks (task_key, kind, site_id, patient_id, course_id, sharps_id, planned_on, due_on, due_at, reason, state,
                changed_at, changed_by, version)
            VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'planned', ?, ?, 1);
            """)
            .Bind(task.Key.Text).Bind(Kebab.Of(task.Kind)).Bind(task.SiteId).Bind(task.PatientId).Bind(task.CourseId).Bind(task.SharpsId)
            .Bind(task.PlannedOn).Bind(task.DueOn).Bind(task.DueAt).Bind(task.Reason).Bind(at).Bind(TaskLife.Planner).Run();
        AddMove(task.Key, null, TaskState.Planned, at, TaskLife.Planner, null);
    }

    private void Update(PlannedTask task, Instant at, bool isAgain)
    {
        if (isAgain)
            PlanAgain(task.Key, at);
        _statements.For("UPDATE tasks SET site_id = ?, planned_on = ?, due_on = ?, due_at = ?, reason = ? WHERE task_key = ?;")
            .Bind(task.SiteId).Bind(task.PlannedOn).Bind(task.DueOn).Bind(task.DueAt).Bind(task.Reason).Bind(task.Key.Text).Run();
    }

    private void PlanAgain(TaskKey key, Instant at)
    {
        var before = Find(key)!.State;
        SetState(key, TaskState.Planned, at, TaskLife.Planner);
        AddMove(key, before, TaskState.Planned, at, TaskLife.Planner, "the need is there again");
    }

    private void SetState(TaskKey key, TaskState state, Instant at, string by) =>
        _statements.For("UPDATE tasks SET state = ?, changed_at = ?, changed_by = ?, version = version + 1 WHERE task_key = ?;")
            .Bind(Kebab.Of(state)).Bind(at).Bind(by).Bind(key.Text).Run();

    private void AddMove(TaskKey key, TaskState? from, TaskState to, Instant at, string by, string? note) =>
        _statements.For("INSERT INTO task_moves (task_key, from_state, to_state, moved_at, moved_by, note) VALUES (?, ?, ?, ?, ?, ?);")
            .Bind(key.Text).Bind(from is TaskState state ? Kebab.Of(state) : null).Bind(Kebab.Of(to)).Bind(at).Bind(by).Bind(note).Run();

    private static TaskOnRecord Read(PreparedStatement row) => new()
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
