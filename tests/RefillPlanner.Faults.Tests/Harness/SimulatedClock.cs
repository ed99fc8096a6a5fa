using System;
using NodaTime;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>The time as the program under test has it: set to where its clock begins whenever it is started, and going on at the real pace.</summary>
internal sealed class SimulatedClock : TimeProvider
{
    private readonly System.Threading.Lock _lock = new();
    private DateTimeOffset _start = new(2026, 3, 2, 15, 0, 0, TimeSpan.Zero);
    private long _startedAt = System.GetTimestamp();

    /// <summary>The present instant, as the program has it.</summary>
    public Instant Now => Instant.FromDateTimeOffset(GetUtcNow());

    /// <summary>Begins at an instant.</summary>
    public void Begin(Instant at)
    {
        lock (_lock)
            (_start, _startedAt) = (at.ToDateTimeOffset(), System.GetTimestamp());
    }

    /// <inheritdoc/>
    public override DateTimeOffset GetUtcNow()
    {
        lock (_lock)
            return _start + System.GetElapsedTime(_startedAt);
    }
}
