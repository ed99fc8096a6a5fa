using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Globalization;
using System.Linq;
using System.Threading;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>What a full re-plan took.</summary>
/// <param name="Milliseconds">From opening the file to the end.</param>
/// <param name="Patients">How many patients were planned.</param>
/// <param name="PeakKibibytes">Most memory held at once.</param>
internal readonly record struct Replanned(double Milliseconds, int Patients, long PeakKibibytes);

/// <summary>The full re-plan, in a process of its own.</summary>
internal static class Replanning
{
    /// <summary>Runs it in a child process.</summary>
    /// <param name="folder">The folder of the file.</param>
    public static Replanned RunChild(string folder)
    {
        var words = ChildProgram.RunSelf("replan", folder).Output.Split(' ');
        return new Replanned(double.Parse(words[0], CultureInfo.InvariantCulture), int.Parse(words[1], CultureInfo.InvariantCulture), long.Parse(words[2], CultureInfo.InvariantCulture));
    }

    /// <summary>What the child does: <c>replan FOLDER</c>.</summary>
    public static int Child(string[] args)
    {
        var clock = Stopwatch.StartNew();
        var desk = PlannerDesk.Open(args[0]);
        using (desk.Database)
        {
            var patients = PlanAll(desk);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{clock.Elapsed.TotalMilliseconds:0.000} {patients} {MemoryPeak.Kibibytes()}"));
        }

        return 0;
    }

    // The one place that knows how the planner is told to plan everything: those with news, then all, whether or not anything calls for it.
    private static int PlanAll(Desk desk)
    {
        var planning = new PatientPlanning(desk);
        var (planned, failed) = new PlanningOnChange(desk, planning).Run();
        Demand(failed);
        var looked = 0;
        var full = FullPlanning.Run(desk, planning, patients => Interlocked.Add(ref looked, patients));
        Demand(full.Failed);
        return int.Max(planned, looked);
    }

    /// <summary>Ids of the first sites.</summary>
    public static IEnumerable<string> FirstSites(int sites) => new LargeRoster(sites * 2_000, 0).ListSites().Select(site => site.Id);

    private static void Demand(IReadOnlyList<string> failed)
    {
        if (failed.Count > 0)
            throw new InvalidOperationException($"{failed.Count} patients could not be planned, {failed[0]} first.");
    }
}
