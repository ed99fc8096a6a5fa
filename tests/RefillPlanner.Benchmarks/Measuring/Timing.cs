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

    /// <summary>Does something again and again for a second, so that it is compiled as well as it will be.</summary>
    public static void WarmUp(Action action)
    {
        for (var clock = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(clock) < TimeSpan.FromSeconds(1);)
            action();
    }

    /// <summary>Nanoseconds of the middle one of some calls.</summary>
    public static double Median(int times, Action action) => Median([.. Enumerable.Range(0, times).Select(_ => Nanoseconds(action))]);

    /// <summary>The middle value; of an even number the higher one of the two in the middle.</summary>
    public static double Median(IReadOnlyList<double> values) => values.Order().ElementAt(values.Count / 2);
}
