using NodaTime;

namespace RefillPlanner.Store;

/// <summary>A run of a job, as recorded.</summary>
public sealed record RunRow
{
    /// <summary>Its number.</summary>
    public required long RunId { get; init; }

    /// <summary>What ran.</summary>
    public required string Kind { get; init; }

    /// <summary>About what; null: about all.</summary>
    public string? Subject { get; init; }

    /// <summary>When it began.</summary>
    public required Instant StartedAt { get; init; }

    /// <summary>When it ended; null: it has not.</summary>
    public Instant? FinishedAt { get; init; }

    /// <summary><c>running</c>, <c>done</c> or <c>failed</c>.</summary>
    public required string Outcome { get; init; }

    /// <summary>What came of it; null: nothing to say.</summary>
    public string? Detail { get; init; }
}

/// <summary>When what ran, and what came of it.</summary>
public sealed class RunStore
{
    private readonly Statements _statements;

    internal RunStore(Statements statements) => _statements = statements;

    /// <summary>Records a run that began and ended; its number.</summary>
    public long Add(string kind, string? subject, Instant startedAt, Instant finishedAt, bool failed, string? detail) => _statements.For("""
        INSERT INTO runs (kind, subject, started_at, finished_at, outcome, detail) VALUES (?, ?, ?, ?, ?, ?) RETURNING run_id;
        """)
        .Bind(kind).Bind(subject).Bind(startedAt).Bind(finishedAt).Bind(failed ? "failed" : "done").Bind(detail).FindNumber();

    /// <summary>The latest run of a kind about a subject, or about all; null: none.</summary>
    public RunRow? FindLatest(string kind, string subject) => _statements.For("""
        SELECT run_id, kind, subject, started_at, finished_at, outcome, detail FROM runs
        WHERE kind = ?1 AND (subject = ?2 OR subject IS NULL) ORDER BY started_at DESC, run_id DESC LIMIT 1;
        """)
        .Bind(kind).Bind(subject)
        .Find(row => new RunRow
        {
            RunId = row.Long(0),
            Kind = row.Text(1),
            Subject = row.TextOrNull(2),
            StartedAt = row.Moment(3),
            FinishedAt = row.TextOrNull(4) is null ? null : row.Moment(4),
            Outcome = row.Text(5),
            Detail = row.TextOrNull(6),
        });
}
