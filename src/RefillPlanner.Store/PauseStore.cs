using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;

namespace RefillPlanner.Store;

/// <summary>What keeps mail from being sent, and until when. Every change is a row of the audit.</summary>
public sealed class PauseStore
{
    private readonly Statements _statements;
    private readonly AuditStore _audit;

    internal PauseStore(Statements statements, AuditStore audit) => (_statements, _audit) = (statements, audit);

    /// <summary>All that keep mail from being sent, or did until a moment ago.</summary>
    public IReadOnlyList<Pause> List() => [.. _statements.For("SELECT kind, since, until, tries, reason FROM pauses ORDER BY since, kind;").List(row => new Pause(
        Columns.Member<PauseKind>(row.Text(0)), row.Moment(1), row.TextOrNull(2) is null ? null : row.Moment(2), row.Whole(3), row.Text(4)))];

    /// <summary>Keeps a pause in place of the one of its kind.</summary>
    public void Put(Pause pause, Instant at, string by)
    {
        _statements.For("""
            INSERT INTO pauses (kind, since, until, tries, reason) VALUES (?1, ?2, ?3, ?4, ?5)
            ON CONFLICT (kind) DO UPDATE SET until = excluded.until, tries = excluded.tries, reason = excluded.reason;
            """)
            .Bind(Kebab.Of(pause.Kind)).Bind(pause.Since).Bind(MessageRow.Text(pause.Until)).Bind(pause.Tries).Bind(pause.Reason).Run();
        _audit.Add(at, by, AuditSubject.Service, Kebab.Of(pause.Kind), null, pause.Until is null ? "paused until a person confirms" : $"paused until {MessageRow.Text(pause.Until)}", pause.Reason);
    }

    /// <summary>Ends a pause; false: there was none.</summary>
    public bool End(PauseKind kind, Instant at, string by)
    {
        if (!_statements.For("DELETE FROM pauses WHERE kind = ?;").Bind(Kebab.Of(kind)).Run())
            return false;
        _audit.Add(at, by, AuditSubject.Service, Kebab.Of(kind), "paused", "goes on");
        return true;
    }
}
