using System;
using System.Collections.Generic;
using System.IO;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Peers;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>
/// F3, F4, F5: everything planned again against streaming the same rows, unchanged and with news of one patient in fifty; and how time
/// and memory grow from a tenth of the courses.
/// </summary>
internal static class ReplanRow
{
    private const int Times = 3;

    public static void Measure(BenchmarkRun run)
    {
        var large = MeasureSize(run, run.Options.Courses, isMain: true);
        if (!run.Options.Wants("F5"))
            return;
        var small = MeasureSize(run, run.Options.Courses / 10, isMain: false);
        run.Report.Check("F5", $"{Figures.Count(small.Patients)} patients planned of a tenth of the courses, {Figures.Count(large.Patients)} of all", large.Patients >= 9.5 * small.Patients && large.Patients <= 10.5 * small.Patients);
        CheckGrowth(run);
        if (run.Options.Short)
            return;
        run.Report.Add("F5", $"time at {Figures.Count(run.Options.Courses)} over a tenth", Figures.Time(large.Milliseconds * 1e6), Figures.Time(small.Milliseconds * 1e6), large.Milliseconds / small.Milliseconds, new Goal(11));
        run.Report.Add("F5", "peak memory likewise", Figures.Memory(large.PeakKibibytes), Figures.Memory(small.PeakKibibytes), (double)large.PeakKibibytes / small.PeakKibibytes, new Goal(1.2));
        run.Report.Add("F5", "peak memory in MiB", Figures.Memory(large.PeakKibibytes), "256 MiB", large.PeakKibibytes / 1024.0, new Goal(256));
    }

    // Ten times the courses make about ten times the tasks, and no reference leads nowhere.
    private static void CheckGrowth(BenchmarkRun run)
    {
        var (large, small) = (run.Workplace.Planned(run.Options.Courses), run.Workplace.Planned(run.Options.Courses / 10));
        var (tasks, fewer) = (TableCount.Of(large, "tasks"), TableCount.Of(small, "tasks"));
        run.Report.Check("F5", $"{Figures.Count(fewer)} tasks of a tenth of the courses, {Figures.Count(tasks)} of all", tasks > 8 * fewer && tasks < 12 * fewer);
        if (run.Options.Short)
            run.Report.Check("F5", "no reference in the file leads nowhere", RosterFile.CountBrokenReferences(large) == 0);
    }

    private static Replanned MeasureSize(BenchmarkRun run, int courses, bool isMain)
    {
        var folder = run.Workplace.Planned(courses);
        FileCache.Warm(Path.Combine(folder, RosterFile.Name));
        var streamed = Stream(run, folder, courses);
        var replanned = Middle(run, () => Replanning.RunChild(folder));
        run.Report.Check("F3", $"{Figures.Count(replanned.Patients)} patients planned again, none passed over", replanned.Patients > 0 && replanned.Patients == TableCount.Of(folder, "patients"));
        if (isMain && !run.Options.Short && run.Options.Wants("F3"))
        {
            Add(run, "F3", $"full re-plan of {Figures.Count(courses)} unchanged courses", replanned, streamed, new Goal(1.0));
            run.Report.Add("F3", "the same as the first run of a new process", Figures.Time(replanned.FirstMilliseconds * 1e6), string.Empty);
        }

        if (!isMain || !run.Options.Wants("F4"))
            return replanned;

        var turn = 0;
        var facts = TableCount.Of(folder, "facts");
        var changed = Middle(run, () => Replanning.RunChild(folder, turn++));
        var news = (int)(TableCount.Of(folder, "facts") - facts) / (2 * turn);
        run.Report.Check("F4", $"{Figures.Count(news)} patients with a new fact planned again with all others", news > 0 && changed.Patients == replanned.Patients);
        if (!run.Options.Short)
            Add(run, "F4", $"the same, with a new fact for {Figures.Count(news)} patients", changed, streamed, new Goal(1.5));
        return replanned;
    }

    // The cheaper of the two orders is what the re-plan is compared with.
    private static Streamed Stream(BenchmarkRun run, string folder, int courses)
    {
        var inRowOrder = Cheapest(() => run.Workplace.Stream.InRowOrder(folder));
        var inKeyOrder = Cheapest(() => run.Workplace.Stream.InKeyOrder(folder));
        run.Report.Check("F3", $"{Figures.Count(inRowOrder.Rows)} rows streamed in either order, {inRowOrder.Courses} of them courses", inRowOrder.Sum == inKeyOrder.Sum && inRowOrder.Rows == inKeyOrder.Rows && inRowOrder.Courses == courses);
        if (!run.Options.Short)
        {
            run.Report.Remark($"F3: rows of {Figures.Count(courses)} courses streamed by {run.Workplace.Stream.Name} in {Figures.Time(inRowOrder.Milliseconds * 1e6)} table after table, in {Figures.Time(inKeyOrder.Milliseconds * 1e6)} course by course; the faster one is compared with.");
            run.Report.Remark("F3-F5: the file was read from end to end beforehand for both sides; the re-plan is a process of its own, which does it twice: the second run counts, as in a service that was started before. With news, each run has its own.");
        }

        return inRowOrder.Milliseconds < inKeyOrder.Milliseconds ? inRowOrder : inKeyOrder;
    }

    private static void Add(BenchmarkRun run, string row, string measure, Replanned ours, Streamed peer, Goal goal)
    {
        run.Report.Add(row, measure, Figures.Time(ours.Milliseconds * 1e6), $"{Figures.Time(peer.Milliseconds * 1e6)} streaming in {run.Workplace.Stream.Name}", ours.Milliseconds / peer.Milliseconds, goal);
    }

    private static Replanned Middle(BenchmarkRun run, Func<Replanned> measure)
    {
        var runs = new List<Replanned>();
        for (var i = 0; i < (run.Options.Short ? 1 : Times); i++)
            runs.Add(measure());
        runs.Sort((left, right) => left.Milliseconds.CompareTo(right.Milliseconds));
        return runs[runs.Count / 2];
    }

    private static Streamed Cheapest(Func<Streamed> measure)
    {
        var best = measure();
        for (var i = 1; i < Times; i++)
        {
            var next = measure();
            best = next.Milliseconds < best.Milliseconds ? next : best;
        }

        return best;
    }
}
