using System;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>A clock whose time of day can be set, while the one that only goes forward goes on.</summary>
internal sealed class JumpingClock(TimeProvider steady) : TimeProvider
{
    public TimeSpan Jump { get; set; }

    public override long TimestampFrequency => steady.TimestampFrequency;

    public override DateTimeOffset GetUtcNow() => steady.GetUtcNow() + Jump;

    public override long GetTimestamp() => steady.GetTimestamp();
}
