using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using System.Text.Json;
using RefillPlanner.Benchmarks.Measuring;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>A day-by-day script in Python.</summary>
internal static class DayByDayPython
{
    /// <summary>Runs it; null: there is no Python.</summary>
    public static PeerRun? Run(IReadOnlyList<PeerCourse> courses, string folder)
    {
        var file = Path.Combine(folder, "courses.jsonl");
        File.WriteAllLines(file, courses.Select(course => JsonSerializer.Serialize(new object[]
        {
            course.Vials, course.VialVolume, course.InUseDays, course.Steps.Select(step => new object?[] { step.EveryDays, step.DosingDays, course.Needed(step) }),
        })));
        if (ChildProgram.TryRun("python3", ["--version"]) is not { ExitCode: 0 } version)
            return null;
        var lines = ChildProgram.Run("python3", [Path.Combine(AppContext.BaseDirectory, "Programs", "walk.py"), file]).Output.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        return new PeerRun(
            "day-by-day Python",
            double.Parse(lines[0], CultureInfo.InvariantCulture),
            [.. lines.Skip(1).Select(line => int.Parse(line, CultureInfo.InvariantCulture))],
            $"{version.Output.Trim()}, courses read beforehand, timed inside the script");
    }
}
