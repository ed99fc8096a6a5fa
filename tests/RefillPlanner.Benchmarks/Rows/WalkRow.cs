using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using CsCheck;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>F1: the walk against the tests' day-by-day walk, on the courses of the large roster; and whether both say the same.</summary>
internal static class WalkRow
{
    private const string Row = "F1";

    public static void Measure(BenchmarkRun run)
    {
        CompareResults(run);
        var courses = RosterSnapshots.List(new LargeRoster(run.Options.Short ? 1_000 : 20_000, run.Options.Seed)).ToList();
        var bench = new Workbench();
        var walks = courses.ConvertAll(course => ResolvedWalk.Of(course, Policy.Default, LargeRoster.Today, bench));
        GC.Collect(); // What the comparison left behind does not lie between the courses.
        var few = courses.Take(courses.Count / 10).Select(course => new LiteralCourseWalk(course)).ToList();
        var different = few.Zip(walks).Count(pair => pair.First.FindRunOut() != pair.Second.FindRunOut());
        run.Report.Check(Row, $"{Figures.Count(few.Count)} courses of the large roster likewise, {different} run out otherwise", different == 0);
        if (run.Options.Short)
            return;

        var peer = Timing.Median(3, () => few.ForEach(walk => walk.FindRunOut())) / few.Count;
        var ours = Ours(walks, few.Count);
        run.Report.Add(Row, "walk of a course, inputs resolved, one thread", Figures.Time(ours), $"{Figures.Time(peer)} day by day with decimals", peer / ours, new Goal(15, AtLeast: true));
        run.Report.Add(Row, $"the same over {Figures.Count(walks.Count)} courses", Figures.Time(Ours(walks, walks.Count)), string.Empty);
        run.Report.Add(Row, "allocated in a walk", $"{Figures.Count(Allocated(walks))} bytes", string.Empty);
        run.Report.Remark("F1: both walk the same courses of the large roster; the day-by-day walk has its facts in order and its dosing days listed beforehand, the draw of each dose it works out as it goes.");
    }

    private static double Ours(List<ResolvedWalk> walks, int count)
    {
        var those = walks.Take(count).ToArray();
        Timing.WarmUp(() => Walk(those));
        return Timing.Median(15, () => Walk(those)) / count;
    }

    private static long Walk(ResolvedWalk[] walks)
    {
        long sum = 0;
        foreach (var walk in walks)
            sum += walk.Run();
        return sum;
    }

    private static long Allocated(List<ResolvedWalk> walks)
    {
        var those = walks.ToArray();
        var before = GC.GetAllocatedBytesForCurrentThread();
        Walk(those);
        return (GC.GetAllocatedBytesForCurrentThread() - before) / those.Length;
    }

    // Random courses with scarce stock and dense facts, as the tests make them: every field that is reported must be the same.
    private static void CompareResults(BenchmarkRun run)
    {
        var count = run.Options.Short ? 2_000 : 100_000;
        var parts = Environment.ProcessorCount;
        var compared = 0;
        var different = 0;
        Parallel.For(0, parts, part =>
        {
            var source = new PCG((uint)part, (ulong)run.Options.Seed);
            for (var i = part; i < count; i += parts)
            {
                var (course, policy, asOf) = RandomCourses.Any.Generate(source, null, out _);
                if (Told.Fields(LiteralWalk.Of(course, policy, asOf)) != Told.Fields(SupplyComputation.Of(course, policy, asOf)))
                    Interlocked.Increment(ref different);
                Interlocked.Increment(ref compared);
            }
        });
        run.Report.Check(Row, $"{Figures.Count(compared)} random courses compared with the day-by-day walk, {different} answered otherwise", different == 0 && compared == count);
    }
}
