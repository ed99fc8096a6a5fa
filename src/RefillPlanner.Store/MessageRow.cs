using System.Linq;
using System.Text.Json;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Store;

/// <summary>A message's life as it stands in <c>messages</c>, and its words as they stand in <c>letters</c>.</summary>
internal static class MessageRow
{
    /// <summary>The columns of a message's life; the digest is of those before it.</summary>
    public const string Columns = "messages.message_key, kind, messages.site_id, messages.patient_id, task_keys, message_id, to_address, decided_at, not_before, expires_at, state, attempts, next_attempt_at, lease_until, changed_at, detail, messages.digest";

    /// <summary>The columns of its words; the digest is of those before it.</summary>
    public const string LetterColumns = "letters.message_key, language_tag, subject, text_body, html_body, letters.digest";

    /// <summary>How many columns of a message's life are in its digest.</summary>
    public const int Digested = 16;

    /// <summary>How many columns of its words are in theirs.</summary>
    public const int DigestedLetter = 5;

    /// <summary>Binds all of a message's life, without its digest.</summary>
    public static PreparedStatement Bind(PreparedStatement statement, MessageOnRecord message) => statement
        .Bind(message.Message.Key.Text).Bind(Kebab.Of(message.Message.Kind)).Bind(message.Message.SiteId).Bind(message.Message.PatientId).Bind(TaskKeys(message.Message))
        .Bind(message.Message.MessageId).Bind(message.Message.To).Bind(message.Message.DecidedAt).Bind(message.Message.NotBefore).Bind(message.Message.ExpiresAt)
        .Bind(Kebab.Of(message.State)).Bind(message.Attempts).Bind(message.NextAttemptAt).Bind(Text(message.LeaseUntil)).Bind(message.ChangedAt).Bind(message.Detail);

    /// <summary>The digest of a message's life.</summary>
    public static long Digest(MessageOnRecord message) => RowDigest.Empty
        .With(message.Message.Key.Text).With(Kebab.Of(message.Message.Kind)).With(message.Message.SiteId).With(message.Message.PatientId).With(TaskKeys(message.Message))
        .With(message.Message.MessageId).With(message.Message.To).With(message.Message.DecidedAt).With(message.Message.NotBefore).With(message.Message.ExpiresAt)
        .With(Kebab.Of(message.State)).With(message.Attempts).With(message.NextAttemptAt).With(Text(message.LeaseUntil)).With(message.ChangedAt).With(message.Detail).Value;

    /// <summary>An instant as it stands in a column; null: NULL.</summary>
    public static string? Text(Instant? instant) => instant is Instant known ? Moments.Format(known) : null;

    /// <summary>Reads a message's life and, after its columns, its words.</summary>
    /// <exception cref="DamagedRowException">One of the two is not as it was written.</exception>
    public static MessageOnRecord Read(PreparedStatement row)
    {
        const int letter = Digested + 1;
        row.Whole("messages", Digested).Whole("letters", DigestedLetter, letter);
        return new MessageOnRecord
        {
            Message = new OutgoingMessage
            {
                Key = new MessageKey(row.Text(0)),
                Kind = Store.Columns.Member<MessageKind>(row.Text(1)),
                SiteId = row.TextOrNull(2),
                PatientId = row.TextOrNull(3),
                TaskKeys = [.. JsonSerializer.Deserialize<string[]>(row.Text(4))!.Select(key => new TaskKey(key))],
                MessageId = row.Text(5),
                To = row.TextOrNull(6),
                DecidedAt = row.Moment(7),
                NotBefore = row.Moment(8),
                ExpiresAt = row.Moment(9),
                LanguageTag = row.Text(letter + 1),
                Subject = row.Text(letter + 2),
                Text = row.Text(letter + 3),
                Html = row.Text(letter + 4),
            },
            State = Store.Columns.Member<MessageState>(row.Text(10)),
            Attempts = row.Whole(11),
            NextAttemptAt = row.Moment(12),
            LeaseUntil = row.TextOrNull(13) is null ? null : row.Moment(13),
            ChangedAt = row.Moment(14),
            Detail = row.TextOrNull(15),
        };
    }

    /// <summary>The tasks of a message as they stand in a column.</summary>
    public static string TaskKeys(OutgoingMessage message) => JsonSerializer.Serialize(message.TaskKeys.Select(key => key.Text));
}
