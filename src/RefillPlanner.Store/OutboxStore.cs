using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;

namespace RefillPlanner.Store;

/// <summary>Messages, written with the decision that makes them, marked before and after they are sent. Every mark is a row of the audit.</summary>
public sealed class OutboxStore
{
    /// <summary>Who moves a message when no person does.</summary>
    public const string Sender = "sender";

    internal const string NotAcceptedSql =
        """
        SELECT message.message_key, message.state, message.detail, patient.patient_id, patient.name, patient.born_on, patient.phone,
            EXISTS (SELECT 1 FROM patients AS other
                WHERE other.site_id = ?1 AND other.name = patient.name AND other.patient_id <> patient.patient_id)
        FROM messages AS message
        LEFT JOIN patients AS patient ON patient.patient_id = message.patient_id
        WHERE message.site_id = ?1 AND message.state IN ('bounced', 'expired', 'unknown', 'suppressed') AND message.decided_at >= ?2
        ORDER BY message.decided_at, message.message_key;
        """;

    private const string NoAddress = "no agreement to e-mail, or no address that may be used";

    private readonly Statements _statements;
    private readonly AuditStore _audit;

    internal OutboxStore(Statements statements, AuditStore audit) => (_statements, _audit) = (statements, audit);

    /// <summary>Adds a message; one without an address is suppressed at once, and shows on the list.</summary>
    /// <returns>False when one of the same meaning is there already: nothing is added.</returns>
    public bool Add(OutgoingMessage message)
    {
        if (Has(message.Key))
            return false;
        var onRecord = new MessageOnRecord
        {
            Message = message,
            State = message.To is null ? MessageState.Suppressed : MessageState.Queued,
            Attempts = 0,
            NextAttemptAt = message.NotBefore,
            ChangedAt = message.DecidedAt,
            Detail = message.To is null ? NoAddress : null,
        };
        MessageRow.Bind(_statements.For("""
            INSERT INTO messages (message_key, kind, site_id, patient_id, task_keys, message_id, to_address, decided_at, not_before, expires_at, state, attempts,
                next_attempt_at, lease_until, changed_at, detail, digest)
            VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?);
            """).BeginDigest(), onRecord).BindDigest().Run();
        _statements.For("INSERT INTO letters (message_key, language_tag, subject, text_body, html_body, digest) VALUES (?, ?, ?, ?, ?, ?);").BeginDigest()
            .Bind(message.Key.Text).Bind(message.LanguageTag).Bind(message.Subject).Bind(message.Text).Bind(message.Html).BindDigest().Run();
        _audit.Add(message.DecidedAt, Sender, AuditSubject.Message, message.Key.Text, null, Kebab.Of(onRecord.State), onRecord.Detail);
        return true;
    }

    /// <summary>Whether a message is on record.</summary>
    public bool Has(MessageKey key) => _statements.For("SELECT count(*) FROM messages WHERE message_key = ?;").Bind(key.Text).FindNumber() > 0;

    /// <summary>One message; null: not on record.</summary>
    /// <exception cref="DamagedRowException">Its record is not as it was written.</exception>
    public MessageOnRecord? Find(MessageKey key) => Select("WHERE messages.message_key = ?1").Bind(key.Text).Find(MessageRow.Read);

    /// <summary>The message whose Message-ID begins with a text, up to its @; null: not on record.</summary>
    public MessageOnRecord? FindByMessageIdStart(string start) =>
        Select("WHERE message_id >= ?1 || '@' AND message_id < ?1 || 'A'").Bind(start).Find(MessageRow.Read);

    /// <summary>Keys of messages that may be tried now, earliest first.</summary>
    /// <param name="now">The present instant.</param>
    /// <param name="most">At most so many.</param>
    public IReadOnlyList<MessageKey> ListReady(Instant now, int most) =>
        [.. _statements.For("SELECT message_key FROM messages WHERE state IN ('queued', 'unknown') AND next_attempt_at <= ? ORDER BY next_attempt_at, message_key LIMIT ?;")
            .Bind(now).Bind(most).List(row => new MessageKey(row.Text(0)))];

    /// <summary>Keys of messages that are being sent under a lease that ends before an instant.</summary>
    public IReadOnlyList<MessageKey> ListLeasedUntil(Instant end) =>
        [.. _statements.For("SELECT message_key FROM messages WHERE state = 'sending' AND lease_until < ? ORDER BY lease_until, message_key;").Bind(end).List(row => new MessageKey(row.Text(0)))];

    /// <summary>When the earliest message that waits may be tried; null: none waits.</summary>
    public Instant? FindNextAttempt() =>
        _statements.For("SELECT next_attempt_at FROM messages WHERE state IN ('queued', 'unknown') ORDER BY next_attempt_at LIMIT 1;").List(row => (Instant?)row.Moment(0)).FirstOrDefault();

    /// <summary>How many messages are in a state.</summary>
    public long Count(MessageState state) => _statements.For("SELECT count(*) FROM messages WHERE state = ?;").Bind(Kebab.Of(state)).FindNumber();

    /// <summary>Messages in a state, earliest first.</summary>
    public IReadOnlyList<MessageOnRecord> List(MessageState state) => [.. Select("WHERE state = ?1 ORDER BY decided_at, messages.message_key").Bind(Kebab.Of(state)).List(MessageRow.Read)];

    /// <summary>Messages of a site to or about a patient that did not reach their reader, decided since an instant, earliest first.</summary>
    public IReadOnlyList<ListedMessage> ListNotAccepted(string siteId, Instant since) => [.. _statements.For(NotAcceptedSql).Bind(siteId).Bind(since).List(ReadListed)];

    /// <summary>Messages to or about a patient, earliest first.</summary>
    public IReadOnlyList<MessageOnRecord> ListOfPatient(string patientId) =>
        [.. Select("WHERE patient_id = ?1 ORDER BY decided_at, messages.message_key").Bind(patientId).List(MessageRow.Read)];

    /// <summary>Marks a message as being sent, until the end of a lease; that counts as an attempt.</summary>
    /// <exception cref="InvalidOperationException">The life table has no such move.</exception>
    public void Claim(MessageOnRecord message, Instant at, Instant leaseUntil) =>
        Write(message, message with { State = MessageState.Sending, Attempts = message.Attempts + 1, LeaseUntil = leaseUntil, ChangedAt = at, Detail = null });

    /// <summary>Marks a message that was not tried as waiting again: its attempt does not count.</summary>
    public void Release(MessageKey key, Instant at, Instant nextAttemptAt, string? detail) =>
        Write(Demand(key), message => message with { State = MessageState.Queued, Attempts = message.Attempts - 1, LeaseUntil = null, ChangedAt = at, NextAttemptAt = nextAttemptAt, Detail = detail });

    /// <summary>Moves a message to another state.</summary>
    /// <exception cref="InvalidOperationException">The life table has no such move, or there is no such message.</exception>
    public void Move(MessageKey key, MessageState to, Instant at, Instant nextAttemptAt, string? detail) =>
        Write(Demand(key), message => message with { State = to, LeaseUntil = null, ChangedAt = at, NextAttemptAt = nextAttemptAt, Detail = detail });

    /// <summary>Puts the next try of a message off; its state stays.</summary>
    public void PutOff(MessageOnRecord message, Instant nextAttemptAt) => Store(message with { NextAttemptAt = nextAttemptAt });

    /// <summary>Takes a message whose record is damaged out of what is sent; staff see it on the list.</summary>
    public void SetAside(MessageKey key, Instant at, string why)
    {
        _statements.For("UPDATE messages SET state = 'suppressed', lease_until = NULL, changed_at = ?2, detail = ?3 WHERE message_key = ?1;").Bind(key.Text).Bind(at).Bind(why).Run();
        _statements.For("""
            UPDATE messages SET digest = row_digest(message_key, kind, site_id, patient_id, task_keys, message_id, to_address, decided_at, not_before, expires_at, state,
                attempts, next_attempt_at, lease_until, changed_at, detail) WHERE message_key = ?1;
            """).Bind(key.Text).Run();
        _audit.Add(at, Sender, AuditSubject.Message, key.Text, null, Kebab.Of(MessageState.Suppressed), why);
    }

    private MessageOnRecord Demand(MessageKey key) => Find(key) ?? throw new InvalidOperationException($"There is no message {key}.");

    private void Write(MessageOnRecord before, Func<MessageOnRecord, MessageOnRecord> move) => Write(before, move(before));

    private void Write(MessageOnRecord before, MessageOnRecord after)
    {
        MessageLife.Demand(after.Message.Key, before.State, after.State);
        Store(after);
        _audit.Add(after.ChangedAt, Sender, AuditSubject.Message, after.Message.Key.Text, Kebab.Of(before.State), Kebab.Of(after.State), after.Detail);
    }

    private void Store(MessageOnRecord message) =>
        _statements.For("UPDATE messages SET state = ?, attempts = ?, next_attempt_at = ?, lease_until = ?, changed_at = ?, detail = ?, digest = ? WHERE message_key = ?;")
            .Bind(Kebab.Of(message.State)).Bind(message.Attempts).Bind(message.NextAttemptAt).Bind(MessageRow.Text(message.LeaseUntil)).Bind(message.ChangedAt).Bind(message.Detail)
            .Bind(MessageRow.Digest(message)).Bind(message.Message.Key.Text).Run();

    private PreparedStatement Select(string where) =>
        _statements.For($"SELECT {MessageRow.Columns}, {MessageRow.LetterColumns} FROM messages JOIN letters ON letters.message_key = messages.message_key {where};");

    private static ListedMessage ReadListed(PreparedStatement row) => new(
        new MessageKey(row.Text(0)),
        Columns.Member<MessageState>(row.Text(1)),
        row.TextOrNull(2),
        row.TextOrNull(3) is string patientId ? new ListedPatient(patientId, row.Text(4), row.Long(7) != 0, row.DateOrNull(5), row.TextOrNull(6)) : null);
}
