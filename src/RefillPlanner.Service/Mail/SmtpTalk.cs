using System;
using System.Text;
using System.Threading;
using MailKit;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// Follows one connection: in which phase it is, in particular whether the final dot may be out, and whether its patience has ended. Everything
/// on the connection is done under its <see cref="Token"/>.
/// </summary>
internal sealed class SmtpTalk : IProtocolLogger, ITransferProgress
{
    private readonly Lock _lock = new();
    private readonly TimeProvider _time;
    private readonly SmtpPatience _patience;
    private readonly CancellationTokenSource _end = new(); // has no timer of its own: nothing to dispose
    private readonly ITimer _timer;
    private long _letterStartedAt;
    private long _armedAt;
    private TimeSpan _wait;
    private bool _isEnded;

    public SmtpTalk(TimeProvider time, SmtpPatience patience)
    {
        _time = time;
        _patience = patience;
        _timer = time.CreateTimer(_ => Expire(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
    }

    public SmtpPhase Phase { get; private set; }

    /// <summary>Cancelled when patience ends, or when it is given up.</summary>
    public CancellationToken Token => _end.Token;

    /// <summary>Whether it was given up.</summary>
    public bool IsStopped { get; private set; }

    /// <inheritdoc/>
    IAuthenticationSecretDetector? IProtocolLogger.AuthenticationSecretDetector { get; set; }

    /// <summary>The next thing waits for an answer; it is timed from here.</summary>
    public void Enter(SmtpPhase phase)
    {
        lock (_lock)
        {
            Phase = phase;
            if (phase == SmtpPhase.Mail)
                _letterStartedAt = _time.GetTimestamp();
            var left = _patience.Letter - _time.GetElapsedTime(_letterStartedAt);
            TimeSpan? due = phase switch
            {
                SmtpPhase.Connect => _patience.Opening,
                SmtpPhase.Noop => _patience.Command,
                SmtpPhase.Mail or SmtpPhase.Rcpt or SmtpPhase.Data => left < _patience.Command ? left : _patience.Command,
                SmtpPhase.Letter => left,
                SmtpPhase.Dot => _patience.AfterDot,
                SmtpPhase.Quit => _patience.Quit,
                _ => null, // the rest of the opening: timed as one
            };
            if (due is TimeSpan wait)
                Arm(wait > TimeSpan.Zero ? wait : TimeSpan.Zero);
        }
    }

    /// <summary>Nothing is waited for.</summary>
    public void Rest()
    {
        lock (_lock)
            Arm(Timeout.InfiniteTimeSpan);
    }

    /// <summary>It is given up: ends what waits. What may have been sent by then ends as unknown.</summary>
    public void Stop()
    {
        lock (_lock)
        {
            if (_isEnded || Phase is SmtpPhase.Quit)
                return;
            (_isEnded, IsStopped) = (true, true);
        }

        _end.Cancel();
    }

    // MailKit reports the letter's bytes as they are handed on, and writes the final dot after the last of them.
    void ITransferProgress.Report(long bytesTransferred, long totalSize)
    {
        lock (_lock)
        {
            if (Phase == SmtpPhase.Data)
                Enter(SmtpPhase.Letter);
            if (Phase != SmtpPhase.Letter || bytesTransferred < totalSize)
                return;
            if (_isEnded)
                throw new OperationCanceledException("The final dot is not sent: it ended before.", Token);
            Enter(SmtpPhase.Dot);
        }
    }

    void ITransferProgress.Report(long bytesTransferred)
    {
        // MailKit always knows the size here.
    }

    void IProtocolLogger.LogConnect(Uri uri) => Enter(SmtpPhase.Greeting);

    // Names the steps of the opening, which MailKit takes in one call. Nothing depends on RSET, which it says after a refusal.
    void IProtocolLogger.LogClient(byte[] buffer, int offset, int count)
    {
        if (buffer.AsSpan(offset, count).SequenceEqual("RSET\r\n"u8))
        {
            lock (_lock)
                Arm(_patience.Quit);
            return;
        }

        if (Phase > SmtpPhase.StartTls)
            return;
        var said = Encoding.ASCII.GetString(buffer, offset, Math.Min(count, 8));
        if (said.StartsWith("EHLO", StringComparison.Ordinal) || said.StartsWith("HELO", StringComparison.Ordinal))
            Enter(SmtpPhase.Ehlo);
        else if (said.StartsWith("STARTTLS", StringComparison.Ordinal))
            Enter(SmtpPhase.StartTls);
    }

    void IProtocolLogger.LogServer(byte[] buffer, int offset, int count)
    {
        // What the server says arrives as answers.
    }

    public void Dispose()
    {
        lock (_lock)
            _isEnded = true;
        _timer.Dispose();
    }

    private void Arm(TimeSpan wait)
    {
        (_armedAt, _wait) = (_time.GetTimestamp(), wait);
        _timer.Change(wait, Timeout.InfiniteTimeSpan);
    }

    // Patience may have been given anew since the timer fired.
    private void Expire()
    {
        lock (_lock)
        {
            if (_isEnded || _wait == Timeout.InfiniteTimeSpan)
                return;
            if (_wait - _time.GetElapsedTime(_armedAt) is var left && left > TimeSpan.Zero)
            {
                _timer.Change(left, Timeout.InfiniteTimeSpan);
                return;
            }

            _isEnded = true;
        }

        _end.Cancel();
    }
}
