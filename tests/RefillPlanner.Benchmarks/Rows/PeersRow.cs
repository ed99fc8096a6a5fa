using System;
using System.Linq;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Peers;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>F2: the walk against what people use instead. Every run-out of a peer must be the planner's.</summary>
internal static class PeersRow
{
    private const string Row = "F2";

    public static void Measure(BenchmarkRun run)
    {
        var isShort = run.Options.Short;
        var courses = PeerCourse.List(isShort ? 1_000 : 5_000, run.Options.Seed);
        var bench = new Workbench();
        var walks = courses.Select(course => ResolvedWalk.Of(course.ToSnapshot(), Policy.Default, LargeRoster.Today, bench)).ToArray();
        GC.Collect(); // What the rows before left behind does not lie between the courses.
        var runOuts = Array.ConvertAll(walks, walk => walk.FindRunOut() ?? -1);
        run.Report.Check(Row, $"{Figures.Count(courses.Count)} courses for the peers, all of which run out", Array.TrueForAll(runOuts, day => day >= 0));
        var folder = run.Workplace.Folder("peers");
        Compare(run, "the spreadsheet", Spreadsheet.Run([.. courses.Take(isShort ? 100 : 2_000)], folder), walks, runOuts, new Goal(1_000, AtLeast: true), "LibreOffice (soffice) is not installed");
        Compare(run, "SQL", RecursiveSql.Run(courses), walks, runOuts, new Goal(200, AtLeast: true), string.Empty);
        Compare(run, "the calendar", CalendarRules.Run(isShort ? [.. courses.Take(200)] : courses), walks, runOuts, new Goal(200, AtLeast: true), string.Empty);
        Compare(run, "Python", DayByDayPython.Run(courses, folder), walks, runOuts, new Goal(100, AtLeast: true), "python3 is not installed");
    }

    private static void Compare(BenchmarkRun run, string what, PeerRun? peer, ResolvedWalk[] walks, int[] runOuts, Goal goal, string whyNot)
    {
        if (peer is null)
        {
            run.Report.Skip(Row, what, whyNot);
            return;
        }

        var count = peer.RunOuts.Count;
        var different = peer.RunOuts.Zip(runOuts).Count(pair => pair.First != pair.Second);
        run.Report.Check(Row, $"{peer.Name}: {Figures.Count(count)} run-outs compared, {different} differ", different == 0 && count > 0);
        if (run.Options.Short)
            return;
        var ours = Ours(walks.AsSpan(0, count).ToArray()) / count;
        run.Report.Add(Row, $"walk of a course, against {peer.Name}", Figures.Time(ours), Figures.Time(peer.Nanoseconds / count), peer.Nanoseconds / count / ours, goal);
        run.Report.Remark($"F2, {peer.Name}: {Figures.Count(count)} courses; {peer.How}.");
    }

    private static double Ours(ResolvedWalk[] walks)
    {
        void Walk()
        {
            foreach (var walk in walks)
                walk.Run();
        }

        Timing.WarmUp(Walk);
        return Timing.Median(9, Walk);
    }
}
