using System.Collections.Generic;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>What is to happen to a program at a named point.</summary>
/// <param name="Variable">The variable of the environment that orders it.</param>
/// <param name="Point">The point: its name, and from which time on that it is passed.</param>
/// <param name="DelayMilliseconds">For a kill: how long after the point.</param>
internal sealed record FaultOrder(string Variable, string Point, int DelayMilliseconds = 0)
{
    /// <summary>The name of any point.</summary>
    public const string AnyPoint = "*";

    /// <summary>The program's first moment.</summary>
    public const string FirstMoment = "start";

    /// <summary>The program is killed the n-th time that it passes a point, or some milliseconds later.</summary>
    public static FaultOrder KillAt(string point, int times = 1, int delayMilliseconds = 0) => new("REFILL_FAULT_POINT", $"{point}:{times}", delayMilliseconds);

    /// <summary>The point throws the n-th time that it is passed, and the times after that.</summary>
    public static FaultOrder ThrowAt(string point, int from, int times) => new("REFILL_FAULT_THROW", $"{point}:{from}:{times}");

    /// <summary>The program is frozen the n-th time that it passes a point.</summary>
    public static FaultOrder FreezeAt(string point, int times = 1) => new("REFILL_FAULT_STOP", $"{point}:{times}");

    /// <summary>The environment that orders it.</summary>
    public IEnumerable<KeyValuePair<string, string>> Environment()
    {
        yield return new(Variable, Point);
        if (DelayMilliseconds > 0)
            yield return new("REFILL_FAULT_DELAY", $"{DelayMilliseconds}");
    }

    /// <inheritdoc/>
    public override string ToString() => $"{Variable} {Point}{(DelayMilliseconds > 0 ? $" +{DelayMilliseconds} ms" : string.Empty)}";
}
