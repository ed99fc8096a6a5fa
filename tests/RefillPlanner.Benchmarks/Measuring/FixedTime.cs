using System;

namespace RefillPlanner.Benchmarks.Measuring;

/// <summary>A clock that stands still, so that every run computes the same day.</summary>
/// <param name="now">What it shows.</param>
internal sealed class FixedTime(DateTimeOffset now) : TimeProvider
{
    public override DateTimeOffset GetUtcNow() => now;
}
