using System;
using System.Collections.Generic;
using System.Linq;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>
/// The rows of a site's refill-due list: one statement over indexes, whatever the roster's size, read without a mapper. Each row is checked
/// against its digest, and those of each day against what they are together: what is damaged or missing is said, and not shown.
/// </summary>
public sealed class DueListStore
{
    internal const string Sql =
        $"""
        SELECT {AllColumns}
        FROM (
            SELECT * FROM tasks WHERE site_id = ?1 AND due_on <= ?2 AND state NOT IN ('done', 'withdrawn')
            UNION ALL
            SELECT * FROM tasks WHERE site_id = ?1 AND due_on > ?2 AND state = 'waiting'
        ) AS task
        {Joins}
        ORDER BY task.due_on, task.task_key;
        """;

    private const string OneSql = $"SELECT {AllColumns} FROM tasks AS task {Joins} WHERE task.patient_id = ?2 AND task.task_key = ?3;";

    // From the indexes alone.
    private const string KeysSql =
        """
        SELECT patient_id, task_key, due_on FROM tasks WHERE site_id = ?1 AND due_on <= ?2 AND state NOT IN ('done', 'withdrawn')
        UNION ALL
        SELECT patient_id, task_key, due_on FROM tasks WHERE site_id = ?1 AND due_on > ?2 AND state = 'waiting'
        ORDER BY due_on, task_key;
        """;

    private const string AllColumns =
        $"""
        task.task_key, task.kind, task.site_id, task.patient_id, task.course_id, task.sharps_id, task.planned_on, task.due_on, task.due_at,
            task.reason, task.state, task.changed_at, task.changed_by, task.version, task.postponed_because, task.digest,
            plan.course_id, plan.medicine, plan.findings, plan.digest,
            {ListedPatientRow.Columns}
        """;

    private const string Joins =
        """
        LEFT JOIN patients AS patient ON patient.patient_id = task.patient_id
        LEFT JOIN plans AS plan ON plan.course_id = task.course_id
        LEFT JOIN patient_names AS same ON same.site_id = ?1 AND same.name = patient.name
        """;

    private const int PlanFrom = TaskStore.DigestedColumns + 1;
    private const int PatientFrom = PlanFrom + PlanStore.Digested + 1;

    private readonly Statements _statements;
    private readonly TaskDays _days;
    private readonly LedgerStore _ledger;

    internal DueListStore(Statements statements, TaskDays days, LedgerStore ledger) => (_statements, _days, _ledger) = (statements, days, ledger);

    /// <summary>The open tasks of a site that are due by a day, and those waiting for an answer, whatever their day; earliest first.</summary>
    /// <param name="siteId">The site.</param>
    /// <param name="through">The last day, itself included.</param>
    public DueRows List(string siteId, LocalDate through)
    {
        var days = _days.ListThrough(siteId, through);
        try
        {
            var listing = new Listing(siteId, through, days, new PatientNames(_statements));
            foreach (var row in _statements.For(Sql).Bind(siteId).Bind(through).List(row => row))
                listing.Take(row);
            return listing.End();
        }
        catch (SqliteException damage) when (DamagedRowException.IsDamage(damage))
        {
            return ListOneByOne(new Listing(siteId, through, days, new PatientNames(_statements)), siteId, through);
        }
    }

    /// <summary>A patient as the list shows one, without a word about namesakes; null: not on record, or damaged.</summary>
    public ListedPatient? FindPatient(string patientId)
    {
        try
        {
            return _ledger.FindPatient(patientId) is Patient patient ? new ListedPatient(patientId, patient.Name, HasNamesake: false, patient.BornOn, patient.Phone) : null;
        }
        catch (Exception damage) when (DamagedRowException.IsDamage(damage))
        {
            return null;
        }
    }

    // Slower, but a place in the file that SQLite cannot read takes no more with it than the tasks that lie there.
    private DueRows ListOneByOne(Listing listing, string siteId, LocalDate through)
    {
        foreach (var (patientId, key) in _statements.For(KeysSql).Bind(siteId).Bind(through).List(row => (row.Text(0), row.Text(1))))
        {
            try
            {
                foreach (var row in _statements.For(OneSql).Bind(siteId).Bind(patientId).Bind(key).List(row => row))
                    listing.Take(row);
            }
            catch (SqliteException damage) when (DamagedRowException.IsDamage(damage))
            {
                listing.Refuse(key);
            }
        }

        return listing.End();
    }

    /// <summary>A list while it is read.</summary>
    private sealed class Listing(string siteId, LocalDate through, IReadOnlyDictionary<TaskDay, long> days, PatientNames names)
    {
        private readonly List<ListedTask> _tasks = [];
        private readonly List<ListedDamage> _damaged = [];
        private readonly HashSet<string> _seen = new(StringComparer.Ordinal);
        private readonly Dictionary<TaskDay, long> _found = [];

        public void Take(PreparedStatement row)
        {
            if (!row.IsWhole(TaskStore.DigestedColumns))
            {
                Refuse(row, new DamagedRowException("tasks", row.Text(0)), isTaskWhole: false);
                return;
            }

            // An index that was changed leads to rows that are not of this list, or to one twice.
            var state = Columns.Member<TaskState>(row.Text(10));
            var day = new TaskDay(row.Text(2), state == TaskState.Waiting, row.Date(7));
            TaskDays.Combine(_found, day, row.Long(TaskStore.DigestedColumns));
            if (day.SiteId != siteId || !TaskLife.IsOpen(state) || (day.DueOn > through && !day.IsWaiting) || !_seen.Add(row.Text(0)))
                return;
            var courseId = row.TextOrNull(4);
            if (FindPatient(row, row.Text(3)) is not ListedPatient patient)
                Refuse(row, new DamagedRowException("patients", row.Text(3)), isTaskWhole: true);
            else if (courseId is not null && !HasPlan(row, courseId))
                Refuse(row, new DamagedRowException("plans", courseId), isTaskWhole: true);
            else
                _tasks.Add(Listed(row, state, day.DueOn, courseId, patient));
        }

        public DueRows End()
        {
            foreach (var day in days.Keys.Union(_found.Keys).Where(day => days.GetValueOrDefault(day) != _found.GetValueOrDefault(day)).OrderBy(day => day.DueOn))
            {
                var key = day.ToText();
                _damaged.Add(new ListedDamage(key, DamagedRowException.Incomplete("tasks", key).Message, string.Empty, string.Empty, Patient: null));
            }

            return new DueRows(_tasks, _damaged);
        }

        public void Refuse(string key) =>
            _damaged.Add(new ListedDamage(key, new DamagedRowException("tasks", key).Message, string.Empty, string.Empty, Patient: null));

        private void Refuse(PreparedStatement row, DamagedRowException damage, bool isTaskWhole)
        {
            var patientId = row.Text(3);
            _damaged.Add(new ListedDamage(damage.Id, damage.Message, patientId, row.TextOrNull(4) ?? string.Empty, isTaskWhole ? FindPatient(row, patientId) : null));
        }

        private ListedPatient? FindPatient(PreparedStatement row, string patientId) => ListedPatientRow.Find(row, PatientFrom, patientId, siteId, names);

        // Planning keeps the line of a course with its tasks.
        private static bool HasPlan(PreparedStatement row, string courseId) =>
            !row.IsNull(PlanFrom) && row.Text(PlanFrom) == courseId && row.IsWhole(PlanStore.Digested, PlanFrom);

        private static ListedTask Listed(PreparedStatement row, TaskState state, LocalDate dueOn, string? courseId, ListedPatient patient) => new()
        {
            Key = new TaskKey(row.Text(0)),
            Kind = Columns.Member<TaskKind>(row.Text(1)),
            State = state,
            PlannedOn = row.Date(6),
            DueOn = dueOn,
            Reason = row.Text(9),
            PostponedBecause = row.TextOrNull(14),
            CourseId = courseId,
            Patient = patient,
            Course = courseId is null ? null : new CourseLine(row.Text(PlanFrom + 1), row.Text(PlanFrom + 2)),
        };
    }
}
