using System.Collections.Generic;
using System.Data;
using Dapper;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>The projection last worked out for each course: can be thrown away and worked out again.</summary>
public sealed class PlanStore(IDbConnection connection, IDbTransaction transaction)
{
    /// <summary>Keeps a course's projection in place of the one before.</summary>
    public void Put(string courseId, LocalDate asOf, Instant plannedAt, string projection) => connection.Execute(
        """
        INSERT INTO plans (course_id, as_of, planned_at, projection) VALUES (@courseId, @asOf, @plannedAt, @projection)
        ON CONFLICT (course_id) DO UPDATE SET as_of = excluded.as_of, planned_at = excluded.planned_at, projection = excluded.projection
        WHERE projection <> excluded.projection OR as_of <> excluded.as_of;
        """,
        new { courseId, asOf, plannedAt, projection },
        transaction);

    /// <summary>A course's projection as JSON; null: it was never planned.</summary>
    public string? Find(string courseId) => connection.ExecuteScalar<string?>(
        "SELECT projection FROM plans WHERE course_id = @courseId;", new { courseId }, transaction);
}
