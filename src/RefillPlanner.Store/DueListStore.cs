using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>The rows of a site's refill-due list: one statement over indexes, whatever the roster's size, read without a mapper.</summary>
public sealed class DueListStore
{
    internal const string Sql =
        """
        SELECT task.task_key, task.kind, task.state, task.planned_on, task.due_on, task.reason, task.course_id,
            patient.patient_id, patient.name, patient.born_on, patient.phone,
            EXISTS (SELECT 1 FROM patients AS other
                WHERE other.site_id = ?1 AND other.name = patient.name AND other.patient_id <> patient.patient_id),
            plan.medicine, plan.findings
        FROM (
            SELECT task_key, kind, state, planned_on, due_on, reason, course_id, patient_id
            FROM tasks WHERE site_id = ?1 AND due_on <= ?2 AND state NOT IN ('done', 'withdrawn')
            UNION ALL
            SELECT task_key, kind, state, planned_on, due_on, reason, course_id, patient_id
            FROM tasks WHERE site_id = ?1 AND due_on > ?2 AND state = 'waiting'
        ) AS task
        JOIN patients AS patient ON patient.patient_id = task.patient_id
        LEFT JOIN plans AS plan ON plan.course_id = task.course_id
        ORDER BY task.due_on, task.task_key;
        """;

    private readonly Statements _statements;

    internal DueListStore(Statements statements) => _statements = statements;

    /// <summary>The open tasks of a site that are due by a day, and those waiting for an answer, whatever their day; earliest first.</summary>
    /// <param name="siteId">The site.</param>
    /// <param name="through">The last day, itself included.</param>
    public IReadOnlyList<ListedTask> List(string siteId, LocalDate through) => [.. _statements.For(Sql).Bind(siteId).Bind(through).List(Read)];

    private static ListedTask Read(PreparedStatement row) => new()
    {
        Key = new TaskKey(row.Text(0)),
        Kind = Columns.Member<TaskKind>(row.Text(1)),
        State = Columns.Member<TaskState>(row.Text(2)),
        PlannedOn = row.Date(3),
        DueOn = row.Date(4),
        Reason = row.Text(5),
        CourseId = row.TextOrNull(6),
        Patient = new ListedPatient(row.Text(7), row.Text(8), row.Long(11) != 0, row.DateOrNull(9), row.TextOrNull(10)),
        Course = row.TextOrNull(12) is string medicine ? new CourseLine(medicine, row.Text(13)) : null,
    };
}
