using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Globalization;
using System.Threading;
using System.Threading.Tasks;

namespace RefillPlanner.Benchmarks.Measuring;

/// <summary>How long a service takes from the start of its process to its line that it is ready.</summary>
internal static class StartTime
{
    /// <summary>Nanoseconds; null: it was not ready in time. The service is told to stop afterwards and waited for.</summary>
    public static double? Of(string program, IReadOnlyList<string> arguments, string readyLine, TimeSpan patience)
    {
        var clock = Stopwatch.GetTimestamp();
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { UseShellExecute = false, RedirectStandardOutput = true, RedirectStandardError = true })
            ?? throw new InvalidOperationException($"{program} did not start.");
        process.ErrorDataReceived += (_, _) => { };
        process.BeginErrorReadLine();
        var ready = Task.Run(() => FindLine(process, readyLine, clock));
        var isReady = ready.Wait(patience);
        if (isReady)
        {
            using var stop = Process.Start("kill", ["-TERM", process.Id.ToString(CultureInfo.InvariantCulture)]);
            var rest = Task.Run(process.StandardOutput.ReadToEnd);
            process.WaitForExit();
            rest.Wait();
            return ready.Result;
        }

        process.Kill();
        process.WaitForExit();
        return null;
    }

    private static double? FindLine(Process process, string readyLine, long clock)
    {
        while (process.StandardOutput.ReadLine() is string line)
        {
            if (line.Contains(readyLine, StringComparison.Ordinal))
                return Stopwatch.GetElapsedTime(clock).TotalNanoseconds;
        }

        return null;
    }
}
