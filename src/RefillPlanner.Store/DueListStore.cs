using System.Collections.Generic;
using Microsoft.Data.Sqlite;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>The rows of a site's refill-due list: one statement over indexes, whatever the roster's size, read without a mapper.</summary>
public sealed class DueListStore(SqliteConnection connection, SqliteTransaction transaction)
{
    internal const string Sql =
        """
        SELECT task.task_key, task.kind, task.state, task.planned_on, task.due_on, task.reason, task.course_id,
            patient.patient_id, patient.name, patient.born_on, patient.phone,
            EXISTS (SELECT 1 FROM patients AS other
                WHERE other.site_id = @siteId AND other.name = patient.name AND other.patient_id <> patient.patient_id),
            plan.medicine, plan.findings
        FROM (
            SELECT task_key, kind, state, planned_on, due_on, reason, course_id, patient_id
            FROM tasks WHERE site_id = @siteId AND due_on <= @through AND state NOT IN ('done', 'withdrawn')
            UNION ALL
            SELECT task_key, kind, state, planned_on, due_on, reason, course_id, patient_id
            FROM tasks WHERE site_id = @siteId AND due_on > @through AND state = 'waiting'
        ) AS task
        JOIN patients AS patient ON patient.patient_id = task.patient_id
        LEFT JOIN plans AS plan ON plan.course_id = task.course_id
        ORDER BY task.due_on, task.task_key;
        """;

    /// <summary>The open tasks of a site that are due by a day, and those waiting for an answer, whatever their day; earliest first.</summary>
    /// <param name="siteId">The site.</param>
    /// <param name="through">The last day, itself included.</param>
    public IReadOnlyList<ListedTask> List(string siteId, LocalDate through)
    {
        using var command = connection.CreateCommand();
        command.Transaction = transaction;
        command.CommandText = Sql;
        command.Parameters.AddWithValue("@siteId", siteId);
        command.Parameters.AddWithValue("@through", LocalDatePattern.Iso.Format(through));
        using var reader = command.ExecuteReader();
        var tasks = new List<ListedTask>();
        while (reader.Read())
            tasks.Add(Task(reader));
        return tasks;
    }

    private static ListedTask Task(SqliteDataReader reader) => new()
    {
        Key = new TaskKey(reader.GetString(0)),
        Kind = Columns.Member<TaskKind>(reader.GetString(1)),
        State = Columns.Member<TaskState>(reader.GetString(2)),
        PlannedOn = Columns.Date(reader.GetString(3)),
        DueOn = Columns.Date(reader.GetString(4)),
        Reason = reader.GetString(5),
        CourseId = Text(reader, 6),
        Patient = new ListedPatient(reader.GetString(7), reader.GetString(8), reader.GetInt64(11) != 0, Text(reader, 9) is string born ? Columns.Date(born) : null, Text(reader, 10)),
        Course = Text(reader, 12) is string medicine ? new CourseLine(medicine, reader.GetString(13)) : null,
    };

    private static string? Text(SqliteDataReader reader, int column) => reader.IsDBNull(column) ? null : reader.GetString(column);
}
