using System;
using System.Diagnostics;
using System.Globalization;
using System.Linq;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>What an import took.</summary>
/// <param name="Milliseconds">From opening the file of the database to the commit.</param>
/// <param name="Facts">How many facts were written.</param>
/// <param name="PeakKibibytes">Most memory held at once.</param>
/// <param name="Complaint">What was refused first; empty: nothing.</param>
internal sealed record Imported(double Milliseconds, int Facts, long PeakKibibytes, string Complaint)
{
    /// <summary>As a line for the process that waits for it.</summary>
    public string ToLine() => string.Create(CultureInfo.InvariantCulture, $"{Milliseconds:0.000}\t{Facts}\t{PeakKibibytes}\t{Complaint}");

    /// <summary>Reads such a line.</summary>
    public static Imported FromLine(string line)
    {
        var words = line.TrimEnd('\n').Split('\t');
        return new Imported(double.Parse(words[0], CultureInfo.InvariantCulture), int.Parse(words[1], CultureInfo.InvariantCulture), long.Parse(words[2], CultureInfo.InvariantCulture), words[3]);
    }
}

/// <summary>The planner's import, in a process of its own.</summary>
internal static class FactImport
{
    /// <summary>What the child does: <c>import FOLDER ROSTER</c>.</summary>
    public static int Child(string[] args)
    {
        var clock = Stopwatch.StartNew();
        var desk = PlannerDesk.Open(args[0]);
        using (desk.Database)
        {
            var (facts, complaint) = Import(desk, args[1]);
            Console.WriteLine(new Imported(clock.Elapsed.TotalMilliseconds, facts, MemoryPeak.Kibibytes(), complaint).ToLine());
        }

        return 0;
    }

    // The one place that knows how the planner imports a roster.
    private static (int Facts, string Complaint) Import(Desk desk, string folder)
    {
        var roster = RosterImport.Run(desk.Database, RosterFolder.Open(folder), desk.Now, "benchmark");
        return (roster.Counts.Where(count => count.File == "facts.csv").Sum(count => count.New), roster.Refusals.FirstOrDefault()?.ToString() ?? string.Empty);
    }
}
