using System;
using System.Collections.Generic;
using System.Data;
using System.Linq;
using System.Text.Json;
using Dapper;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>Messages, written with the decision that makes them, marked before and after they are sent.</summary>
public sealed class OutboxStore(IDbConnection connection, IDbTransaction transaction)
{
    private const string NoAddress = "no agreement to e-mail, or no address that may be used";
    private const string Columns = "message_key AS \"Key\", kind AS Kind, site_id AS SiteId, patient_id AS PatientId, task_keys AS TaskKeys, to_address AS ToAddress, language_tag AS LanguageTag, subject AS Subject, text_body AS TextBody, html_body AS HtmlBody, decided_at AS DecidedAt, not_before AS NotBefore, expires_at AS ExpiresAt, state AS State, attempts AS Attempts, next_attempt_at AS NextAttemptAt, changed_at AS ChangedAt, detail AS Detail";
    internal const string NotAcceptedSql =
        """
        SELECT message.message_key AS "Key", message.state AS State, message.detail AS Detail,
            patient.patient_id AS PatientId, patient.name AS Name, patient.born_on AS BornOn, patient.phone AS Phone,
            EXISTS (SELECT 1 FROM patients AS other
                WHERE other.site_id = @siteId AND other.name = patient.name AND other.patient_id <> patient.patient_id) AS HasNamesake
        FROM outbox AS message
        JOIN patients AS patient ON patient.patient_id = message.patient_id
        WHERE message.site_id = @siteId AND message.state IN ('bounced', 'expired', 'unknown', 'suppressed') AND message.decided_at >= @since
        ORDER BY message.decided_at, message.message_key;
        """;

    /// <summary>Adds a message; one without an address is suppressed at once, and shows on the list.</summary>
    /// <returns>False when one of the same meaning is there already: nothing is added.</returns>
    public bool Add(OutgoingMessage message) => connection.Execute(
        """
        INSERT INTO outbox (message_key, kind, site_id, patient_id, task_keys, to_address, language_tag, subject, text_body, html_body, decided_at,
            not_before, expires_at, state, attempts, next_attempt_at, changed_at, detail)
        VALUES (@key, @kind, @SiteId, @PatientId, @taskKeys, @To, @LanguageTag, @Subject, @Text, @Html, @DecidedAt,
            @NotBefore, @ExpiresAt, @state, 0, @NotBefore, @DecidedAt, @detail)
        ON CONFLICT (message_key) DO NOTHING;
        """,
        new
        {
            key = message.Key.Text,
            kind = Kebab.Of(message.Kind),
            message.SiteId,
            message.PatientId,
            taskKeys = JsonSerializer.Serialize(message.TaskKeys.Select(key => key.Text)),
            message.To,
            message.LanguageTag,
            message.Subject,
            message.Text,
            message.Html,
            message.DecidedAt,
            message.NotBefore,
            message.ExpiresAt,
            state = Kebab.Of(message.To is null ? MessageState.Suppressed : MessageState.Queued),
            detail = message.To is null ? NoAddress : null,
        },
        transaction) == 1;

    /// <summary>One message; null: not on record.</summary>
    public MessageOnRecord? Find(MessageKey key) => Query("WHERE message_key = @key", new { key = key.Text }).FirstOrDefault();

    /// <summary>Messages that may be tried now, earliest first.</summary>
    public IReadOnlyList<MessageOnRecord> ListReady(Instant now, int limit) => Query(
        "WHERE state IN ('queued', 'unknown') AND next_attempt_at <= @now AND not_before <= @now ORDER BY next_attempt_at, message_key LIMIT @limit",
        new { now, limit });

    /// <summary>Messages in a state, earliest first.</summary>
    public IReadOnlyList<MessageOnRecord> List(MessageState state) => Query("WHERE state = @state ORDER BY decided_at, message_key", new { state = Kebab.Of(state) });

    /// <summary>Messages of a site to or about a patient that did not reach their reader, decided since an instant, earliest first.</summary>
    public IReadOnlyList<ListedMessage> ListNotAccepted(string siteId, Instant since) =>
        [.. connection.Query<NotAcceptedRow>(NotAcceptedSql, new { siteId, since }, transaction).Select(row => row.ToMessage())];

    /// <summary>Messages to or about a patient, earliest first.</summary>
    public IReadOnlyList<MessageOnRecord> ListOfPatient(string patientId) => Query("WHERE patient_id = @patientId ORDER BY decided_at, message_key", new { patientId });

    /// <summary>Moves a message to another state; going to <see cref="MessageState.Sending"/> counts an attempt.</summary>
    /// <exception cref="InvalidOperationException">The life table has no such move, or there is no such message.</exception>
    public void Move(MessageKey key, MessageState to, Instant at, Instant nextAttemptAt, string? detail)
    {
        var message = Find(key) ?? throw new InvalidOperationException($"There is no message {key}.");
        MessageLife.Demand(key, message.State, to);
        connection.Execute(
            """
            UPDATE outbox SET state = @state, attempts = attempts + @attempt, next_attempt_at = @nextAttemptAt, changed_at = @at, detail = @detail
            WHERE message_key = @key;
            """,
            new { state = Kebab.Of(to), attempt = to == MessageState.Sending ? 1 : 0, nextAttemptAt, at, detail, key = key.Text },
            transaction);
    }

    /// <summary>Puts the next try of a message off; its state stays.</summary>
    public void PutOff(MessageKey key, Instant nextAttemptAt) => connection.Execute(
        "UPDATE outbox SET next_attempt_at = @nextAttemptAt WHERE message_key = @key;", new { nextAttemptAt, key = key.Text }, transaction);

    private IReadOnlyList<MessageOnRecord> Query(string where, object parameters) =>
        [.. connection.Query<MessageRow>($"SELECT {Columns} FROM outbox {where};", parameters, transaction).Select(row => row.ToMessage())];

    private sealed record MessageRow
    {
        public required string Key { get; init; }
        public required string Kind { get; init; }
        public required string SiteId { get; init; }
        public string? PatientId { get; init; }
        public required string TaskKeys { get; init; }
        public string? ToAddress { get; init; }
        public required string LanguageTag { get; init; }
        public required string Subject { get; init; }
        public required string TextBody { get; init; }
        public required string HtmlBody { get; init; }
        public required Instant DecidedAt { get; init; }
        public required Instant NotBefore { get; init; }
        public required Instant ExpiresAt { get; init; }
        public required string State { get; init; }
        public required int Attempts { get; init; }
        public required Instant NextAttemptAt { get; init; }
        public required Instant ChangedAt { get; init; }
        public string? Detail { get; init; }

        public MessageOnRecord ToMessage() => new()
        {
            Message = new OutgoingMessage
            {
                Key = new MessageKey(Key),
                Kind = Store.Columns.Member<MessageKind>(Kind),
                SiteId = SiteId,
                PatientId = PatientId,
                TaskKeys = [.. JsonSerializer.Deserialize<string[]>(TaskKeys)!.Select(key => new TaskKey(key))],
                To = ToAddress,
                LanguageTag = LanguageTag,
                Subject = Subject,
                Text = TextBody,
                Html = HtmlBody,
                DecidedAt = DecidedAt,
                NotBefore = NotBefore,
                ExpiresAt = ExpiresAt,
            },
            State = Store.Columns.Member<MessageState>(State),
            Attempts = Attempts,
            NextAttemptAt = NextAttemptAt,
            ChangedAt = ChangedAt,
            Detail = Detail,
        };
    }

    private sealed record NotAcceptedRow
    {
        public required string Key { get; init; }
        public required string State { get; init; }
        public string? Detail { get; init; }
        public required string PatientId { get; init; }
        public required string Name { get; init; }
        public LocalDate? BornOn { get; init; }
        public string? Phone { get; init; }
        public required bool HasNamesake { get; init; }

        public ListedMessage ToMessage() =>
            new(new MessageKey(Key), Store.Columns.Member<MessageState>(State), Detail, new ListedPatient(PatientId, Name, HasNamesake, BornOn, Phone));
    }
}
