using System;
using System.IO;
using System.Threading;
using Xunit;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>Where a run says its numbers: in the test's output, and in the file that the environment names for them.</summary>
internal static class FaultReport
{
    private static readonly Lock Writing = new();

    /// <summary>Says a line.</summary>
    public static void Say(ITestOutputHelper output, string line)
    {
        output.WriteLine(line);
        if (Environment.GetEnvironmentVariable("REFILL_PLANNER_FAULT_REPORT") is not { Length: > 0 } file)
            return;
        lock (Writing)
            File.AppendAllText(file, line + "\n");
    }

    /// <summary>A whole number from the environment, for a longer run; else the one for every day.</summary>
    public static int Setting(string name, int otherwise) => int.TryParse(Environment.GetEnvironmentVariable(name), out var number) ? number : otherwise;
}
