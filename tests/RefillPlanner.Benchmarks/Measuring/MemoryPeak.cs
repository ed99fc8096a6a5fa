using System;
using System.Diagnostics;
using System.Globalization;
using System.IO;
using System.Linq;

namespace RefillPlanner.Benchmarks.Measuring;

/// <summary>The most memory that this process has held at once.</summary>
internal static class MemoryPeak
{
    private const string Status = "/proc/self/status";

    /// <summary>In KiB: the kernel's high-water mark where there is one, else what the runtime says.</summary>
    public static long Kibibytes()
    {
        if (!File.Exists(Status))
            return Process.GetCurrentProcess().PeakWorkingSet64 >> 10;
        var line = File.ReadLines(Status).First(line => line.StartsWith("VmHWM:", StringComparison.Ordinal));
        return long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[^2].Trim(), CultureInfo.InvariantCulture);
    }
}
