using System;

namespace RefillPlanner.Service.Commands;

/// <summary>A clock that begins at a chosen instant and goes on at the pace of the real one.</summary>
/// <param name="start">What it shows at first.</param>
public sealed class ShiftedClock(DateTimeOffset start) : TimeProvider
{
    private readonly long _startedAt = System.GetTimestamp();

    /// <inheritdoc/>
    public override DateTimeOffset GetUtcNow() => start.ToUniversalTime() + System.GetElapsedTime(_startedAt);
}
