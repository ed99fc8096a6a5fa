using System;
using System.Collections.Generic;
using System.Data;
using System.Linq;
using Dapper;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>The truth about what is due. Every change of state is a row of its own in <c>task_moves</c>.</summary>
public sealed class TaskStore(IDbConnection connection, IDbTransaction transaction)
{
    private const string Columns = "task_key AS \"Key\", kind AS Kind, site_id AS SiteId, patient_id AS PatientId, course_id AS CourseId, sharps_id AS SharpsId, planned_on AS PlannedOn, due_on AS DueOn, due_at AS DueAt, reason AS Reason, state AS State, changed_at AS ChangedAt, changed_by AS ChangedBy, version AS Version, postponed_because AS PostponedBecause";

    /// <summary>One task; null: not on record.</summary>
    public TaskOnRecord? Find(TaskKey key) => Query("WHERE task_key = @key", new { key = key.Text }).FirstOrDefault();

    /// <summary>All tasks of a patient, of courses and sharps containers, in any state.</summary>
    public IReadOnlyList<TaskOnRecord> ListOfPatient(string patientId) => Query("WHERE patient_id = @patientId", new { patientId });

    /// <summary>Planned tasks whose alarm goes by an instant, earliest first.</summary>
    public IReadOnlyList<TaskOnRecord> ListPlannedUntil(Instant until) =>
        Query("WHERE state = 'planned' AND due_at <= @until ORDER BY due_at, task_key", new { until });

    /// <summary>Tasks of a kind that a site's staff still have to see to, earliest first.</summary>
    public IReadOnlyList<TaskOnRecord> ListOpen(string siteId, TaskKind kind) => Query(
        "WHERE site_id = @siteId AND kind = @kind AND state NOT IN ('done', 'withdrawn') AND state <> 'planned' ORDER BY due_on, task_key",
        new { siteId, kind = Kebab.Of(kind) });

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
        connection.Execute(
            "UPDATE tasks SET state = @state, changed_at = @at, changed_by = @by, version = version + 1 WHERE task_key = @key;",
            new { state = Kebab.Of(to), at, by, key = key.Text },
            transaction);
        AddMove(key, from, to, at, by, note);
        return true;
    }

    /// <summary>The moves of a task's life, in order: state, when, by whom.</summary>
    public IReadOnlyList<(string? From, string To, Instant At, string By)> ListMoves(TaskKey key) =>
        [.. connection.Query<(string? From, string To, Instant At, string By)>(
            "SELECT from_state, to_state, moved_at, moved_by FROM task_moves WHERE task_key = @key ORDER BY move_id;", new { key = key.Text }, transaction)];

    private void Insert(PlannedTask task, Instant at)
    {
        connection.Execute(
            """
            INSERT INTO tasks (task_key, kind, site_id, patient_id, course_id, sharps_id, planned_on, due_on, due_at, reason, state,
                changed_at, changed_by, version)
            VALUES (@Key, @Kind, @SiteId, @PatientId, @CourseId, @SharpsId, @PlannedOn, @DueOn, @DueAt, @Reason, 'planned',
                @at, @by, 1);
            """,
            Parameters(task, at),
            transaction);
        AddMove(task.Key, null, TaskState.Planned, at, TaskLife.Planner, null);
    }

    private void Update(PlannedTask task, Instant at, bool isAgain)
    {
        if (isAgain)
            PlanAgain(task.Key, at);
        Rewrite(task, at);
    }

    private void PlanAgain(TaskKey key, Instant at)
    {
        var before = Find(key)!.State;
        connection.Execute(
            "UPDATE tasks SET state = 'planned', changed_at = @at, changed_by = @by, version = version + 1 WHERE task_key = @key;",
            new { at, by = TaskLife.Planner, key = key.Text },
            transaction);
        AddMove(key, before, TaskState.Planned, at, TaskLife.Planner, "the need is there again");
    }

    private void Rewrite(PlannedTask task, Instant at) => connection.Execute(
        """
        UPDATE tasks SET site_id = @SiteId, planned_on = @PlannedOn, due_on = @DueOn, due_at = @DueAt, reason = @Reason
        WHERE task_key = @Key;
        """,
        Parameters(task, at),
        transaction);

    private void AddMove(TaskKey key, TaskState? from, TaskState to, Instant at, string by, string? note) => connection.Execute(
        "INSERT INTO task_moves (task_key, from_state, to_state, moved_at, moved_by, note) VALUES (@key, @from, @to, @at, @by, @note);",
        new { key = key.Text, from = from is TaskState state ? Kebab.Of(state) : null, to = Kebab.Of(to), at, by, note },
        transaction);

    private static object Parameters(PlannedTask task, Instant at) => new
    {
        Key = task.Key.Text,
        Kind = Kebab.Of(task.Kind),
        task.SiteId,
        task.PatientId,
        task.CourseId,
        task.SharpsId,
        task.PlannedOn,
        task.DueOn,
        task.DueAt,
        task.Reason,
        at,
        by = TaskLife.Planner,
    };

    private IReadOnlyList<TaskOnRecord> Query(string where, object parameters) =>
        [.. connection.Query<TaskRow>($"SELECT {Columns} FROM tasks {where};", parameters, transaction).Select(row => row.ToTask())];

    private sealed record TaskRow
    {
        public required string Key { get; init; }
        public required string Kind { get; init; }
        public required string SiteId { get; init; }
        public required string PatientId { get; init; }
        public string? CourseId { get; init; }
        public string? SharpsId { get; init; }
        public required LocalDate PlannedOn { get; init; }
        public required LocalDate DueOn { get; init; }
        public required Instant DueAt { get; init; }
        public required string Reason { get; init; }
        public required string State { get; init; }
        public required Instant ChangedAt { get; init; }
        public required string ChangedBy { get; init; }
        public required int Version { get; init; }
        public string? PostponedBecause { get; init; }

        public TaskOnRecord ToTask() => new()
        {
            Task = new PlannedTask
            {
                Key = new TaskKey(Key),
                Kind = Store.Columns.Member<TaskKind>(Kind),
                SiteId = SiteId,
                PatientId = PatientId,
                CourseId = CourseId,
                SharpsId = SharpsId,
                PlannedOn = PlannedOn,
                DueOn = DueOn,
                DueAt = DueAt,
                Reason = Reason,
            },
            State = Store.Columns.Member<TaskState>(State),
            ChangedAt = ChangedAt,
            ChangedBy = ChangedBy,
            Version = Version,
            PostponedBecause = PostponedBecause,
        };
    }
}
