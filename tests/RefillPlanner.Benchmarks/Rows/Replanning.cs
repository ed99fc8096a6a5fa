using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Globalization;
using System.Linq;
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
    /// <param name="sites">Only the first so many sites; null: all.</param>
    public static Replanned RunChild(string folder, int? sites)
    {
        var words = ChildProgram.RunSelf("replan", folder, (sites ?? 0).ToString(CultureInfo.InvariantCulture)).Output.Split(' ');
        return new Replanned(double.Parse(words[0], CultureInfo.InvariantCulture), int.Parse(words[1], CultureInfo.InvariantCulture), long.Parse(words[2], CultureInfo.InvariantCulture));
    }

    /// <summary>What the child does: <c>replan FOLDER SITES</c>, 0 for all sites.</summary>
    public static int Child(string[] args)
    {
        var clock = Stopwatch.StartNew();
        var desk = PlannerDesk.Open(args[0]);
        using (desk.Database)
        {
            var patients = PlanAll(desk, int.Parse(args[1], CultureInfo.InvariantCulture));
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{clock.Elapsed.TotalMilliseconds:0.000} {patients} {MemoryPeak.Kibibytes()}"));
        }

        return 0;
    }

    // The one place that knows how the planner is told to plan everything.
    private static int PlanAll(Desk desk, int sites)
    {
        var planning = new PatientPlanning(desk);
        string?[] those = sites == 0 ? [null] : [.. FirstSites(sites)];
        return those.Sum(site => Demand(planning.PlanAll(site)));
    }

    /// <summary>Ids of the first sites.</summary>
    public static IEnumerable<string> FirstSites(int sites) => new LargeRoster(sites * 2_000, 0).ListSites().Select(site => site.Id);

    private static int Demand((int Planned, IReadOnlyList<string> Failed) run) =>
        run.Failed.Count == 0 ? run.Planned : throw new InvalidOperationException($"{run.Failed.Count} patients could not be planned, {run.Failed[0]} first.");
}
