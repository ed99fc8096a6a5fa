using System;
using System.Collections.Generic;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>What an audit row is about.</summary>
public enum AuditSubject
{
    /// <summary>A task's state, or the day to which a person put it off.</summary>
    Task,

    /// <summary>A message's state.</summary>
    Message,

    /// <summary>A sharps container's state.</summary>
    Sharps,

    /// <summary>A patient's agreement to e-mail.</summary>
    Patient,

    /// <summary>A fact that a person recorded.</summary>
    Fact,

    /// <summary>The service: its starts, pauses and what a person confirmed.</summary>
    Service,
}

/// <summary>A row of the audit: who moved what, from where to where.</summary>
public sealed record AuditRow
{
    /// <summary>Its number; they follow each other without a gap.</summary>
    public required long AuditId { get; init; }

    /// <summary>When.</summary>
    public required Instant At { get; init; }

    /// <summary>Who: a person's name, or the part of the program.</summary>
    public required string By { get; init; }

    /// <summary>What kind of thing.</summary>
    public required string What { get; init; }

    /// <summary>Its key or id.</summary>
    public required string Subject { get; init; }

    /// <summary>How it was; null: it was not there.</summary>
    public string? Before { get; init; }

    /// <summary>How it is; null: it is there no more.</summary>
    public string? After { get; init; }

    /// <summary>Why; null: nothing to say.</summary>
    public string? Note { get; init; }
}

/// <summary>What reading the whole chain came to.</summary>
/// <param name="Rows">How many rows were read until the first broken one.</param>
/// <param name="Head">Hash of the last whole row, in hexadecimal.</param>
/// <param name="BrokenAt">Number of the first row that does not follow from the one before; null: the chain is whole.</param>
public sealed record AuditVerdict(long Rows, string Head, long? BrokenAt);

/// <summary>Every move of a task, a message, a container or an agreement, in a chain of hashes. Rows are added, never changed.</summary>
public sealed class AuditStore
{
    private const string Columns = "audit_id, at, by, what, subject, before, after, note";
    private readonly Statements _statements;
    private long _lastId = -1;
    private byte[] _lastHash = [];

    internal AuditStore(Statements statements) => _statements = statements;

    /// <summary>Adds a row.</summary>
    /// <param name="at">When.</param>
    /// <param name="by">Who: a person's name, or the part of the program.</param>
    /// <param name="what">What kind of thing.</param>
    /// <param name="subject">Its key or id.</param>
    /// <param name="before">How it was; null: it was not there.</param>
    /// <param name="after">How it is; null: it is there no more.</param>
    /// <param name="note">Why; null: nothing to say.</param>
    public void Add(Instant at, string by, AuditSubject what, string subject, string? before, string? after, string? note = null)
    {
        if (_lastId < 0)
            ReadLast();
        var (moment, kind) = (Moments.Format(at), Core.Ledger.Kebab.Of(what));
        _lastHash = AuditChain.Next(_lastHash, ++_lastId, moment, by, kind, subject, before, after, note);
        _statements.For($"INSERT INTO audit ({Columns}, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?);")
            .Bind(_lastId).Bind(moment).Bind(by).Bind(kind).Bind(subject).Bind(before).Bind(after).Bind(note).Bind(_lastHash).Run();
    }

    /// <summary>The rows about a thing, in order.</summary>
    public IReadOnlyList<AuditRow> ListAbout(AuditSubject what, string subject) =>
        [.. _statements.For($"SELECT {Columns} FROM audit WHERE substr(subject, instr(subject, '/') + 1) = substr(?1, instr(?1, '/') + 1) AND subject = ?1 AND what = ?2 ORDER BY audit_id;").Bind(subject).Bind(Core.Ledger.Kebab.Of(what)).List(Read)];

    /// <summary>The hash of the last row, in hexadecimal: who keeps it elsewhere will notice when rows at the end are missing.</summary>
    public string FindHead()
    {
        ReadLast();
        return Convert.ToHexStringLower(_lastHash);
    }

    /// <summary>Whether a hash stands in the chain: one that was kept elsewhere, in hexadecimal.</summary>
    public bool Holds(string head) => head.Length == 2 * AuditChain.HashBytes && Convert.ToHexStringLower(AuditChain.Start) == head
        || _statements.For("SELECT count(*) FROM audit WHERE hex(hash) = upper(?);").Bind(head).FindNumber() > 0;

    /// <summary>The instant of the last row; null: there is none.</summary>
    public Instant? FindLastInstant() =>
        _statements.For($"SELECT {Columns} FROM audit ORDER BY audit_id DESC LIMIT 1;").Find(Read)?.At;

    /// <summary>Reads the chain from its beginning to the first broken row, or to its end.</summary>
    public AuditVerdict Verify()
    {
        var before = AuditChain.Start;
        var rows = 0L;
        var reading = _statements.For($"SELECT {Columns}, hash FROM audit ORDER BY audit_id;");
        foreach (var broken in reading.List(row => (Id: row.Long(0), Kept: row.Bytes(8), Follows: FollowedBy(before, row, rows + 1))))
        {
            if (broken.Follows is null || !broken.Kept.AsSpan().SequenceEqual(broken.Follows))
                return new AuditVerdict(rows, Convert.ToHexStringLower(before), broken.Id);
            (before, rows) = (broken.Kept, rows + 1);
        }

        return new AuditVerdict(rows, Convert.ToHexStringLower(before), BrokenAt: null);
    }

    private static byte[]? FollowedBy(byte[] before, PreparedStatement row, long expectedId) => row.Long(0) != expectedId
        ? null
        : AuditChain.Next(before, expectedId, row.Text(1), row.Text(2), row.Text(3), row.Text(4), row.TextOrNull(5), row.TextOrNull(6), row.TextOrNull(7));

    private void ReadLast()
    {
        (_lastId, _lastHash) = (0, AuditChain.Start);
        _statements.For("SELECT audit_id, hash FROM audit ORDER BY audit_id DESC LIMIT 1;").Find(row =>
        {
            (_lastId, _lastHash) = (row.Long(0), row.Bytes(1));
            return string.Empty;
        });
    }

    private static AuditRow Read(PreparedStatement row) => new()
    {
        AuditId = row.Long(0),
        At = row.Moment(1),
        By = row.Text(2),
        What = row.Text(3),
        Subject = row.Text(4),
        Before = row.TextOrNull(5),
        After = row.TextOrNull(6),
        Note = row.TextOrNull(7),
    };
}
