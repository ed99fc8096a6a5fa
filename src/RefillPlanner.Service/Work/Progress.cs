using System;
using System.Threading;

namespace RefillPlanner.Service.Work;

/// <summary>
/// The last thing that the service got done: a round that ended well, or a piece of a long one that became durable. Its age is taken by the clock
/// that only goes forward, so that setting the time of day neither hides nor feigns a standstill.
/// </summary>
public sealed class Progress
{
    private readonly TimeProvider _time;
    private readonly Lock _one = new();
    private long _at;
    private long _marks;

    /// <summary>Begins at the present instant, as if something had just been done.</summary>
    public Progress(TimeProvider time)
    {
        _time = time;
        _at = time.GetTimestamp();
    }

    /// <summary>How long ago it was.</summary>
    public TimeSpan Age
    {
        get
        {
            lock (_one)
                return _time.GetElapsedTime(_at);
        }
    }

    /// <summary>How often something was done: who remembers the number sees whether anything was done since.</summary>
    public long Marks => Interlocked.Read(ref _marks);

    /// <summary>Something was done.</summary>
    public void Mark()
    {
        lock (_one)
        {
            _at = _time.GetTimestamp();
            _marks++;
        }
    }
}
