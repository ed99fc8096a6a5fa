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
/// <param name="Milliseconds">The run.</param>
/// <param name="FirstMilliseconds">The first run of the process, with opening the file and translating the program.</param>
/// <param name="Patients">How many patients were planned.</param>
/// <param name="PeakKibibytes">Most memory held at once.</param>
internal readonly record struct Replanned(double Milliseconds, double FirstMilliseconds, int Patients, long PeakKibibytes);

/// <summary>The full re-plan, in a process of its own.</summary>
internal static class Replanning
{
    /// <summary>One patient in so many has news.</summary>
    public const int OneIn = 50;

    /// <summary>Runs it in a child process.</summary>
    /// <param name="folder">The folder of the file.</param>
    /// <param name="newsTurn">Whose turn it is to have news before each run; null: nobody's.</param>
    public static Replanned RunChild(string folder, int? newsTurn = null)
    {
        string[] news = newsTurn is int turn ? [turn.ToString(CultureInfo.InvariantCulture)] : [];
        var words = ChildProgram.RunSelf(["replan", folder, .. news]).Output.Split(' ');
        return new Replanned(double.Parse(words[0], CultureInfo.InvariantCulture), double.Parse(words[1], CultureInfo.InvariantCulture), int.Parse(words[2], CultureInfo.InvariantCulture), long.Parse(words[3], CultureInfo.InvariantCulture));
    }

    /// <summary>What the child does: <c>replan FOLDER [TURN]</c>: twice, because the planner is a service whose program is translated once.</summary>
    public static int Child(string[] args)
    {
        var clock = Stopwatch.StartNew();
        var desk = PlannerDesk.Open(args[0]);
        var opened = clock.Elapsed;
        using (desk.Database)
        {
            int? turn = args.Length > 1 ? 2 * int.Parse(args[1], CultureInfo.InvariantCulture) : null;
            AddNews(args[0], turn);
            clock.Restart();
            PlanAll(desk);
            var first = (opened + clock.Elapsed).TotalMilliseconds;
            AddNews(args[0], turn + 1);
            clock.Restart();
            var patients = PlanAll(desk);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{clock.Elapsed.TotalMilliseconds:0.000} {first:0.000} {patients} {MemoryPeak.Kibibytes()}"));
        }

        return 0;
    }

    private static void AddNews(string folder, int? turn)
    {
        if (turn is int number)
            RosterNews.Add(folder, OneIn, number);
    }

    // The one place that knows how the planner is told to plan everything: all, whether or not anything calls for it, and those never planned.
    private static int PlanAll(Desk desk)
    {
        var planning = new PatientPlanning(desk);
        var looked = 0;
        Demand(FullPlanning.Run(desk, planning, patients => Interlocked.Add(ref looked, patients)).Failed);
        var (planned, failed) = new PlanningOnChange(desk, planning).Run();
        Demand(failed);
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
