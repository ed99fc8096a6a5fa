using System;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using MimeKit;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// Gives letters to a mail server, one recipient each, over one connection that is kept for up to 100 letters. Never in clear text, but to
/// this machine itself and when asked for.
/// </summary>
public sealed class SmtpRoute : IMailRoute
{

    private const int MostLetters = 100;
    private readonly MailSettings _settings;
    private readonly TimeProvider _time;
    private readonly SmtpPatience _patience;
    private SmtpConnection? _connection;
    private int _letters;
    private long _lastUsedAt;

    /// <summary>A route to the configured server.</summary>
    /// <param name="settings">The mail settings; with a host.</param>
    /// <param name="time">The clock by which the server is waited for.</param>
    /// <param name="patience">How long; null: as its defaults say.</param>
    /// <exception cref="ArgumentException">Plain text to another machine.</exception>
    public SmtpRoute(MailSettings settings, TimeProvider time, SmtpPatience? patience = null)
    {
        MailSettings.RefuseClearText(settings);
        (_settings, _time, _patience) = (settings, time, patience ?? new SmtpPatience());
    }

    /// <inheritdoc/>
    public async Task<Delivery> SendAsync(MimeMessage letter, CancellationToken cancellation)
    {
        if (letter.To.Mailboxes.Concat(letter.Cc.Mailboxes).Concat(letter.Bcc.Mailboxes).Count() != 1)
            throw new ArgumentException($"Letter {letter.MessageId} has not exactly one recipient.", nameof(letter));
        while (true)
        {
            var isKept = await KeepAsync();
            if (!isKept && await OpenAsync(cancellation) is Delivery failed)
                return failed;
            var delivery = await _connection!.GiveAsync(letter, cancellation);
            _letters++;
            _lastUsedAt = _time.GetTimestamp();

            // A kept connection that the server has closed meanwhile says nothing about the server as it is now.
            var isStale = isKept && delivery.Outcome == DeliveryOutcome.ServerAway && _connection.Phase == SmtpPhase.Mail && !cancellation.IsCancellationRequested;
            if (delivery.Outcome is DeliveryOutcome.Unknown or DeliveryOutcome.ServerAway or DeliveryOutcome.AccountRefused or DeliveryOutcome.QuotaReached)
                Drop();
            if (!isStale)
                return delivery;
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (_connection is not null)
            await _connection.CloseAsync();
        _connection = null;
    }

    // Whether the connection serves another letter.
    private async Task<bool> KeepAsync()
    {
        if (_connection is { IsUsable: true } && _letters < MostLetters && _time.GetElapsedTime(_lastUsedAt) < _patience.Idle)
            return true;
        await DisposeAsync();
        return false;
    }

    // What went wrong; null: it is open.
    private async Task<Delivery?> OpenAsync(CancellationToken cancellation)
    {
        _connection = new SmtpConnection(_settings, _time, _patience);
        _letters = 0;
        var opened = await _connection.OpenAsync(cancellation);
        if (opened.Outcome == DeliveryOutcome.Accepted)
            return null;
        Drop();
        return opened;
    }

    // Without a good-bye: the server went, or must not be kept waiting for.
    private void Drop()
    {
        _connection?.Dispose();
        _connection = null;
    }
}
