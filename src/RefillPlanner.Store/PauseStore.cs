using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>What keeps mail from being sent.</summary>
public enum PauseKind
{
    /// <summary>The database file is an older one that was put back: what it holds as unsent may have been sent. A person confirms.</summary>
    Restored,

    /// <summary>The clock jumped: no date can be trusted until a person has looked. A person confirms.</summary>
    Clock,

    /// <summary>The mail server is away; it is tried again.</summary>
    MailServer,

    /// <summary>The mail server does not take us - certificate, encryption, password - or the day's quota is reached.</summary>
    MailAccount,

    /// <summary>The mail server refused several messages in a row for good: the fault is likely ours. A person confirms.</summary>
    MailRefusals,
}

/// <summary>Mail is not sent.</summary>
/// <param name="Kind">What keeps it.</param>
/// <param name="Since">Since when.</param>
/// <param name="Until">Until when; null: until a person says that it may go on.</param>
/// <param name="Tries">How often in a row it came to this.</param>
/// <param name="Reason">Why, for a person.</param>
public sealed record Pause(PauseKind Kind, Instant Since, Instant? Until, int Tries, string Reason);

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
