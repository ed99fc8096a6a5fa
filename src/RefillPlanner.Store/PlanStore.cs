using NodaTime;

namespace RefillPlanner.Store;

/// <summary>What the list says of each course, as last planned: can be thrown away and worked out again.</summary>
public sealed class PlanStore
{
    /// <summary>How many columns are in the digest: course, medicine, findings.</summary>
    internal const int Digested = 3;

    private readonly Statements _statements;

    internal PlanStore(Statements statements) => _statements = statements;

    /// <summary>Keeps a course's line in place of the one before; one that says the same is not written again.</summary>
    /// <param name="courseId">The course.</param>
    /// <param name="medicine">Drug and dose of the present step, in words.</param>
    /// <param name="findings">The texts of its findings, one a line; empty: it has none.</param>
    /// <param name="plannedAt">When it was planned.</param>
    public void Put(string courseId, string medicine, string findings, Instant plannedAt) => _statements.For("""
        INSERT INTO plans (planned_at, course_id, medicine, findings, digest) VALUES (?, ?, ?, ?, ?)
        ON CONFLICT (course_id) DO UPDATE SET medicine = excluded.medicine, findings = excluded.findings, planned_at = excluded.planned_at, digest = excluded.digest
        WHERE medicine <> excluded.medicine OR findings <> excluded.findings OR digest <> excluded.digest;
        """)
        .Bind(plannedAt).BeginDigest().Bind(courseId).Bind(medicine).Bind(findings).BindDigest().Run();
}
