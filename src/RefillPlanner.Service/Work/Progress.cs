using System;
using System.Threading;

namespace RefillPlanner.Service.Work;

/// <summary>
/// The last thing that the service got done: a round that ended well, a piece of a long one that became durable, a message that was marked. Work
/// and sending go side by side, and neither hides that the other stands still. Its age is taken by the clock that only goes forward, so that
/// setting the time of day neither hides nor feigns a standstill.
/// </summary>
public sealed class Progress
{
    private readonly TimeProvider _time;
    private readonly Lock _one = new();
    private long _workedAt;
    private long? _sentAt;
    private bool _hasWorked;
    private bool _hasSent;

    /// <summary>Begins at the present instant, as if something had just been done.</summary>
    public Progress(TimeProvider time)
    {
        _time = time;
        _workedAt = time.GetTimestamp();
    }

    /// <summary>How long ago the last work was done, or, while mail is being sent, the last message was marked, if that is longer ago.</summary>
    public TimeSpan Age
    {
        get
        {
            lock (_one)
                return _time.GetElapsedTime(Math.Min(_workedAt, _sentAt ?? long.MaxValue));
        }
    }

    /// <summary>Some work was done.</summary>
    public void Mark()
    {
        lock (_one)
            (_workedAt, _hasWorked) = (_time.GetTimestamp(), true);
    }

    /// <summary>A message was marked with what came of it.</summary>
    public void MarkSent()
    {
        lock (_one)
            (_sentAt, _hasSent) = (_time.GetTimestamp(), true);
    }

    /// <summary>Mail is being sent, until what is returned is disposed: meanwhile a standstill counts.</summary>
    public IDisposable BeginSending()
    {
        lock (_one)
            (_sentAt, _hasSent) = (_time.GetTimestamp(), false);
        return new Sending(this);
    }

    /// <summary>Whether work was done, and if mail is being sent a message was marked too, since this was last answered with yes.</summary>
    public bool TakeMoved()
    {
        lock (_one)
        {
            if (!_hasWorked || (_sentAt is not null && !_hasSent))
                return false;
            (_hasWorked, _hasSent) = (false, false);
            return true;
        }
    }

    private void EndSending()
    {
        lock (_one)
            _sentAt = null;
    }

    private sealed class Sending(Progress progress) : IDisposable
    {
        public void Dispose() => progress.EndSending();
    }
}
