using System.Linq;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>How far a mailbox is read.</summary>
/// <param name="Validity">The mailbox's UIDVALIDITY; 0: none was read yet.</param>
/// <param name="ReadThrough">UID of the last mail that was read; 0: none.</param>
public sealed record MailboxMark(long Validity, long ReadThrough);

/// <summary>How far, and when, the mailbox was read to which answers and delivery reports come.</summary>
public sealed class MailboxStore
{
    private readonly Statements _statements;

    internal MailboxStore(Statements statements) => _statements = statements;

    /// <summary>How far it is read.</summary>
    public MailboxMark FindMark() =>
        _statements.For("SELECT mailbox_validity, mailbox_read_through FROM service_life;").List(row => new MailboxMark(row.Long(0), row.Long(1))).First();

    /// <summary>Keeps how far it is read, with what was done about the last mail.</summary>
    public void Keep(MailboxMark mark) =>
        _statements.For("UPDATE service_life SET mailbox_validity = ?, mailbox_read_through = ?;").Bind(mark.Validity).Bind(mark.ReadThrough).Run();

    /// <summary>When it was last read to its end, or to the most that is read at once; null: never.</summary>
    public Instant? FindReadAt() => _statements.For("SELECT mailbox_read_at FROM service_life WHERE mailbox_read_at IS NOT NULL;").List(row => (Instant?)row.Moment(0)).FirstOrDefault();

    /// <summary>Keeps that it was read.</summary>
    public void KeepReadAt(Instant at) => _statements.For("UPDATE service_life SET mailbox_read_at = ?;").Bind(at).Run();
}
