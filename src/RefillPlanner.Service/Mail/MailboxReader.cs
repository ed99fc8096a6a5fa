using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Net.Sockets;
using System.Runtime.CompilerServices;
using System.Threading;
using System.Threading.Tasks;
using MailKit;
using MailKit.Net.Imap;
using MailKit.Search;
using MailKit.Security;
using NodaTime;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Mail;

/// <summary>A mail that came to the mailbox.</summary>
/// <param name="Mark">How far the mailbox is read when this mail is.</param>
/// <param name="Bytes">The mail; null: it is larger than 5 MB, or gone, and is left.</param>
public sealed record ArrivedMail(MailboxMark Mark, byte[]? Bytes);

/// <summary>
/// One visit to the mailbox by IMAP. Reading a mail leaves it unread for people; only <see cref="MarkSeenAsync"/> changes that. Nothing is
/// moved, deleted or answered.
/// </summary>
public sealed class MailboxReader(MailboxSettings settings) : IAsyncDisposable
{
    /// <summary>At most so many mails are read in a visit.</summary>
    public const int MostMails = 200;

    /// <summary>Larger mails are left, in bytes.</summary>
    public const int LargestMail = 5 * 1024 * 1024;

    private const int PatienceMilliseconds = 60_000;
    private static readonly Duration LookBack = Duration.FromDays(7);
    private readonly ImapClient _client = new() { Timeout = PatienceMilliseconds };
    private IMailFolder? _folder;

    /// <summary>Connects and logs in; never in clear text, but to this machine itself and when asked for.</summary>
    /// <exception cref="AuthenticationException">There is no password, or the server does not take it.</exception>
    public async Task OpenAsync(CancellationToken cancellation)
    {
        if (settings.Security == MailSecurity.Plain && !MailSettings.IsLoopback(settings.Host!))
            throw new InvalidOperationException($"The mailbox is not read in clear text from {settings.Host}: use StartTls or SslOnConnect.");
        _client.ServerCertificateValidationCallback = new ServerCertificate(settings.Host!, settings.RootCertificateFile).Check;
        _client.CheckCertificateRevocation = false;
        var security = settings.Security switch
        {
            MailSecurity.StartTls => SecureSocketOptions.StartTls,
            MailSecurity.SslOnConnect => SecureSocketOptions.SslOnConnect,
            _ => SecureSocketOptions.None,
        };
        await _client.ConnectAsync(settings.Host!, settings.Port, security, cancellation);
        var (password, whyNot) = MailPassword.Read(settings);
        await _client.AuthenticateAsync(settings.User!, password ?? throw new AuthenticationException(whyNot!), cancellation);
        _folder = await _client.GetFolderAsync(settings.Folder, cancellation);
        await _folder.OpenAsync(FolderAccess.ReadWrite, cancellation);
    }

    /// <summary>
    /// The mails after a mark, oldest first, at most 200. Where the mark is of another mailbox, or none (RFC 3501, section 2.3.1.1: the numbers of
    /// its mails have a new meaning), those that came in the last seven days: a mail server tries for five days before it reports a failure.
    /// </summary>
    public async IAsyncEnumerable<ArrivedMail> ListNewAsync(MailboxMark mark, Instant now, [EnumeratorCancellation] CancellationToken cancellation)
    {
        var folder = _folder!;
        var isKnown = folder.UidValidity == mark.Validity;
        SearchQuery query = isKnown && mark.ReadThrough > 0
            ? SearchQuery.Uids(new UniqueIdRange(new UniqueId((uint)Math.Min(mark.ReadThrough + 1, uint.MaxValue)), UniqueId.MaxValue))
            : SearchQuery.DeliveredAfter((now - LookBack).ToDateTimeUtc());

        // "n:*" always names the last mail, however small its number (RFC 3501, section 6.4.8).
        var found = await folder.SearchAsync(query, cancellation);
        var news = found.Where(uid => !isKnown || uid.Id > mark.ReadThrough).OrderBy(uid => uid.Id).Take(MostMails).ToList();
        if (news.Count == 0)
            yield break;
        var sizes = (await folder.FetchAsync(news, new FetchRequest(MessageSummaryItems.UniqueId | MessageSummaryItems.Size), cancellation))
            .GroupBy(summary => summary.UniqueId.Id)
            .ToDictionary(group => group.Key, group => group.Max(summary => summary.Size ?? uint.MaxValue));
        foreach (var uid in news)
        {
            var isLeft = !sizes.TryGetValue(uid.Id, out var size) || size > LargestMail;
            yield return new ArrivedMail(new MailboxMark(folder.UidValidity, uid.Id), isLeft ? null : await ReadAsync(folder, uid, cancellation));
        }
    }

    /// <summary>Marks a mail as read, for people: it was dealt with.</summary>
    public async Task MarkSeenAsync(ArrivedMail mail, CancellationToken cancellation)
    {
        if (_folder!.Access == FolderAccess.ReadWrite)
            await _folder.AddFlagsAsync(new UniqueId((uint)mail.Mark.ReadThrough), MessageFlags.Seen, silent: true, cancellation);
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        try
        {
            // Without CLOSE, which would remove what people have marked as deleted (RFC 3501, section 6.4.2).
            using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(5));
            if (_client.IsConnected)
                await _client.DisconnectAsync(quit: true, patience.Token);
        }
        catch (Exception gone) when (gone is IOException or SocketException or ProtocolException or CommandException or OperationCanceledException)
        {
            // It is gone: that is what was wanted.
        }

        _client.Dispose();
    }

    // Never more than the largest size, whatever size the server named.
    private static async Task<byte[]?> ReadAsync(IMailFolder folder, UniqueId uid, CancellationToken cancellation)
    {
        try
        {
            await using var stream = await folder.GetStreamAsync(uid, 0, LargestMail, cancellation);
            using var bytes = new MemoryStream();
            await stream.CopyToAsync(bytes, cancellation);
            return bytes.ToArray();
        }
        catch (MessageNotFoundException)
        {
            return null;
        }
    }
}
