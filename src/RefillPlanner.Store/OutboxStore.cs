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
        $"""
        SELECT {MessageRow.Columns}, {ListedPatientRow.Columns}
        FROM (
            SELECT * FROM messages WHERE site_id = ?1 AND state IN ('bounced', 'expired', 'unknown', 'suppressed') AND decided_at >= ?2
        ) AS messages
        LEFT JOIN patients AS patient ON patient.patient_id = messages.patient_id
        LEFT JOIN patient_names AS same ON same.site_id = ?1 AND same.name = patient.name
        ORDER BY messages.decided_at, messages.message_key;
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

    /// <summary>Keys of messages that wait although their time has passed, earliest first.</summary>
    public IReadOnlyList<MessageKey> ListOutOfTime(Instant now) =>
        [.. _statements.For("SELECT message_key FROM messages WHERE state IN ('queued', 'unknown') AND state = 'queued' AND expires_at <= ? ORDER BY expires_at, message_key;").Bind(now).List(row => new MessageKey(row.Text(0)))];

    /// <summary>When the earliest message that waits may be tried; null: none waits.</summary>
    public Instant? FindNextAttempt() =>
        _statements.For("SELECT next_attempt_at FROM messages WHERE state IN ('queued', 'unknown') ORDER BY next_attempt_at LIMIT 1;").List(row => (Instant?)row.Moment(0)).FirstOrDefault();

    /// <summary>How many messages are in a state.</summary>
    public long Count(MessageState state) => _statements.For("SELECT count(*) FROM messages WHERE state = ?;").Bind(Kebab.Of(state)).FindNumber();

    /// <summary>How many messages came into a state since an instant, and are in it still.</summary>
    public long CountSince(MessageState state, Instant since) => _statements.For("SELECT count(*) FROM messages WHERE state = ? AND changed_at >= ?;").Bind(Kebab.Of(state)).Bind(since).FindNumber();

    /// <summary>How many messages are queued that might have gone before an instant. From the small index of what waits.</summary>
    public long CountQueued(Instant before) =>
        _statements.For("SELECT count(*) FROM messages WHERE state IN ('queued', 'unknown') AND state = 'queued' AND not_before < ?;").Bind(before).FindNumber();

    /// <summary>How many messages, decided since an instant, did not reach their reader. From the small index of those.</summary>
    public long CountNotAccepted(Instant since) =>
        _statements.For("SELECT count(*) FROM messages WHERE state IN ('bounced', 'expired', 'unknown', 'suppressed') AND decided_at >= ?;").Bind(since).FindNumber();

    /// <summary>Messages in a state, earliest first.</summary>
    public IReadOnlyList<MessageOnRecord> List(MessageState state) => [.. Select("WHERE state = ?1 ORDER BY decided_at, messages.message_key").Bind(Kebab.Of(state)).List(MessageRow.Read)];

    /// <summary>Messages of a site to or about a patient that did not reach their reader, decided since an instant, earliest first.</summary>
    public IReadOnlyList<ListedMessage> ListNotAccepted(string siteId, Instant since) => [.. _statements.For(NotAcceptedSql).Bind(siteId).Bind(since).List(row => ReadListed(row, siteId))];

    /// <summary>Messages to or about a patient, earliest first.</summary>
    public IReadOnlyList<MessageOnRecord> ListOfPatient(string patientId) =>
        [.. Select("WHERE patient_id = ?1 ORDER BY decided_at, messages.message_key").Bind(patientId).List(MessageRow.Read)];

    /// <summary>Marks a message as being sent, until the end of a lease; that counts as an attempt.</summary>
    /// <returns>The message as it is marked.</returns>
    /// <exception cref="InvalidOperationException">The life table has no such move, or the message is not as it was believed to be.</exception>
    public MessageOnRecord Claim(MessageOnRecord message, Instant at, Instant leaseUntil) =>
        Write(message, message with { State = MessageState.Sending, Attempts = message.Attempts + 1, LeaseUntil = leaseUntil, ChangedAt = at, Detail = null });

    /// <summary>Marks a claimed message that was not tried as it was before: its attempt does not count.</summary>
    /// <param name="marked">The message as it was marked when it was claimed.</param>
    /// <param name="before">The message as it was before that: queued or unknown.</param>
    /// <param name="at">When.</param>
    /// <param name="detail">Why it was not tried; null: nothing to say.</param>
    public void Release(MessageOnRecord marked, MessageOnRecord before, Instant at, string? detail) => Write(marked, before with { ChangedAt = at, Detail = detail });

    /// <summary>Replaces the words of a message that was not tried yet, and what it is about.</summary>
    /// <exception cref="InvalidOperationException">It was tried, or has another key.</exception>
    public MessageOnRecord Rewrite(MessageOnRecord message, OutgoingMessage words)
    {
        if (message.State != MessageState.Queued || message.Attempts > 0 || words.Key != message.Message.Key)
            throw new InvalidOperationException($"Message {message.Message.Key} was tried: its words stay.");
        var rewritten = message with { Message = words with { DecidedAt = message.Message.DecidedAt, NotBefore = message.Message.NotBefore, ExpiresAt = message.Message.ExpiresAt, MessageId = message.Message.MessageId } };
        _statements.For("UPDATE letters SET language_tag = ?1, subject = ?2, text_body = ?3, html_body = ?4, digest = ?5 WHERE message_key = ?6;")
            .Bind(words.LanguageTag).Bind(words.Subject).Bind(words.Text).Bind(words.Html)
            .Bind(RowDigest.Empty.With(words.Key.Text).With(words.LanguageTag).With(words.Subject).With(words.Text).With(words.Html).Value).Bind(words.Key.Text).Run();
        _statements.For("UPDATE messages SET task_keys = ?1, to_address = ?2, digest = ?3 WHERE message_key = ?4;")
            .Bind(MessageRow.TaskKeys(words)).Bind(words.To).Bind(MessageRow.Digest(rewritten)).Bind(words.Key.Text).Run();
        return rewritten;
    }

    /// <summary>Moves a message to another state.</summary>
    /// <exception cref="InvalidOperationException">The life table has no such move, or there is no such message.</exception>
    public void Move(MessageKey key, MessageState to, Instant at, Instant nextAttemptAt, string? detail) =>
        Move(Demand(key), to, at, nextAttemptAt, detail);

    /// <summary>Moves a message that was read or marked before to another state.</summary>
    /// <exception cref="InvalidOperationException">The life table has no such move, or the message is not as it was believed to be.</exception>
    public void Move(MessageOnRecord message, MessageState to, Instant at, Instant nextAttemptAt, string? detail) =>
        Write(message, message with { State = to, LeaseUntil = null, ChangedAt = at, NextAttemptAt = nextAttemptAt, Detail = detail });

    /// <summary>Puts the next try of a message off; its state stays.</summary>
    public void PutOff(MessageOnRecord message, Instant nextAttemptAt) => Store(message, message with { NextAttemptAt = nextAttemptAt });

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

    private MessageOnRecord Write(MessageOnRecord before, MessageOnRecord after)
    {
        MessageLife.Demand(after.Message.Key, before.State, after.State);
        Store(before, after);
        _audit.Add(after.ChangedAt, Sender, AuditSubject.Message, after.Message.Key.Text, Kebab.Of(before.State), Kebab.Of(after.State), after.Detail);
        return after;
    }

    // Written only over what was read: of two that would move one message, the second is told.
    private void Store(MessageOnRecord before, MessageOnRecord after)
    {
        var isWritten = _statements.For("UPDATE messages SET state = ?, attempts = ?, next_attempt_at = ?, lease_until = ?, changed_at = ?, detail = ?, digest = ? WHERE message_key = ? AND state = ? AND attempts = ?;")
            .Bind(Kebab.Of(after.State)).Bind(after.Attempts).Bind(after.NextAttemptAt).Bind(MessageRow.Text(after.LeaseUntil)).Bind(after.ChangedAt).Bind(after.Detail)
            .Bind(MessageRow.Digest(after)).Bind(after.Message.Key.Text).Bind(Kebab.Of(before.State)).Bind(before.Attempts).Run();
        if (!isWritten)
            throw new InvalidOperationException($"Message {after.Message.Key} is not {Kebab.Of(before.State)} any more.");
    }

    private PreparedStatement Select(string where) =>
        _statements.For($"SELECT {MessageRow.Columns}, {MessageRow.LetterColumns} FROM messages JOIN letters ON letters.message_key = messages.message_key {where};");

    // What is damaged is on the list as such.
    private ListedMessage ReadListed(PreparedStatement row, string siteId)
    {
        var key = new MessageKey(row.Text(0));
        var patient = row.TextOrNull(3) is string patientId ? ListedPatientRow.Find(row, MessageRow.Digested + 1, patientId, siteId, new PatientNames(_statements)) : null;
        return row.IsWhole(MessageRow.Digested)
            ? new ListedMessage(key, Columns.Member<MessageState>(row.Text(10)), row.TextOrNull(15), patient)
            : new ListedMessage(key, MessageState.Unknown, new DamagedRowException("messages", key.Text).Message, patient);
    }
}
