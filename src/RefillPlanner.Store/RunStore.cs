using System.Data;
using Dapper;
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
public sealed class RunStore(IDbConnection connection, IDbTransaction transaction)
{
    private const string Columns = "run_id AS RunId, kind AS Kind, subject AS Subject, started_at AS StartedAt, finished_at AS FinishedAt, outcome AS Outcome, detail AS Detail";

    /// <summary>Records a run that began and ended; its number.</summary>
    public long Add(string kind, string? subject, Instant startedAt, Instant finishedAt, bool failed, string? detail) => connection.ExecuteScalar<long>(
        """
        INSERT INTO runs (kind, subject, started_at, finished_at, outcome, detail)
        VALUES (@kind, @subject, @startedAt, @finishedAt, @outcome, @detail) RETURNING run_id;
        """,
        new { kind, subject, startedAt, finishedAt, outcome = failed ? "failed" : "done", detail },
        transaction);

    /// <summary>The latest run of a kind about a subject, or about all; null: none.</summary>
    public RunRow? FindLatest(string kind, string subject) => connection.QueryFirstOrDefault<RunRow>(
        $"SELECT {Columns} FROM runs WHERE kind = @kind AND (subject = @subject OR subject IS NULL) ORDER BY started_at DESC, run_id DESC LIMIT 1;",
        new { kind, subject },
        transaction);
}
