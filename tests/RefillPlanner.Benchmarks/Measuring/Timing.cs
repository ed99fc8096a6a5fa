using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Linq;

namespace RefillPlanner.Benchmarks.Measuring;

/// <summary>How long something takes.</summary>
internal static class Timing
{
    /// <summary>Nanoseconds of one call.</summary>
    public static double Nanoseconds(Action action)
    {
        var clock = Stopwatch.GetTimestamp();
        action();
        return Stopwatch.GetElapsedTime(clock).TotalNanoseconds;
    }

    /// <summary>Nanoseconds of the middle one of some calls.</summary>
    public static double Median(int times, Action action) => Median([.. Enumerable.Range(0, times).Select(_ => Nanoseconds(action))]);

    /// <summary>The middle value; of an even number the higher one of the two in the middle.</summary>
    public static double Median(IReadOnlyList<double> values) => values.Order().ElementAt(values.Count / 2);
}
