using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Runtime.InteropServices;
using RefillPlanner.Benchmarks.Measuring;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>F9: from the start of the process to ready, against an empty host, both compiled ahead of time (ReadyToRun).</summary>
internal static class StartRow
{
    private const string Row = "F9";
    private const string ServiceReady = "Caught up and alarms set; ready";
    private const string HostReady = "Application started";
    private const int SmallCourses = 1_000;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);
    private static readonly TimeSpan PatienceFirst = TimeSpan.FromMinutes(20);

    // The instant at which the roster was planned: by an earlier one the service would not believe the clock, and catch up with nothing.
    private static readonly string Begin = PlannerDesk.Now.ToString("yyyy-MM-dd'T'HH:mm'Z'", CultureInfo.InvariantCulture);

    public static void Measure(BenchmarkRun run)
    {
        if (Repository.FindRoot() is not string root)
        {
            run.Report.Skip(Row, "start to ready", "the source is not there to be published");
            return;
        }

        if (!OperatingSystem.IsLinux())
        {
            run.Report.Skip(Row, "start to ready", "this row is for Linux: the service is told to stop by a signal");
            return;
        }

        var service = PublishService(run, root);
        var host = PublishHost(run, root);
        var times = run.Options.Short ? 1 : 15;
        Measure(run, service, host, run.Workplace.Folder("empty-state"), 0, times);
        Measure(run, service, host, run.Workplace.Planned(SmallCourses), SmallCourses, times);
        if (!run.Options.Short)
            Measure(run, service, host, run.Workplace.Planned(run.Options.Courses), run.Options.Courses, 5);
    }

    private static void Measure(BenchmarkRun run, string service, string host, string folder, int courses, int times)
    {
        string[] arguments = ["run", "--data", folder, "--today", Begin];
        if (StartTime.Of(service, arguments, ServiceReady, PatienceFirst) is not double first)
        {
            run.Report.Check(Row, $"the service gets ready on {Figures.Count(courses)} courses", isGood: false);
            return;
        }

        if (courses > 0)
            run.Report.Check(Row, $"the service believed its clock and wrote the lists of the day, on {Figures.Count(courses)} courses", TableCount.Of(folder, "pauses") == 0 && TableCount.Of(folder, "messages") > 0);
        var ours = new List<double>();
        var empty = new List<double>();
        for (var i = 0; i < times; i++)
        {
            ours.Add(StartTime.Of(service, arguments, ServiceReady, Patience) ?? double.PositiveInfinity);
            empty.Add(StartTime.Of(host, [], HostReady, Patience) ?? double.PositiveInfinity);
        }

        var (middle, middleEmpty) = (Timing.Median(ours), Timing.Median(empty));
        run.Report.Check(Row, $"the service and the empty host were ready {times} times, on {Figures.Count(courses)} courses", double.IsFinite(middle) && double.IsFinite(middleEmpty));
        if (run.Options.Short)
            return;
        Goal? goal = courses <= SmallCourses ? new Goal(3.0) : null;
        run.Report.Add(Row, $"start to ready, {Figures.Count(courses)} courses, middle of {times}", Figures.Time(middle), $"{Figures.Time(middleEmpty)} empty host", middle / middleEmpty, goal);
        run.Report.Remark($"F9, {Figures.Count(courses)} courses: both started in turns, ReadyToRun, from the start of the process to the line that says ready; the first start of the day, not counted, took {Figures.Time(first)}.");
    }

    private static string PublishService(BenchmarkRun run, string root)
    {
        var source = run.Workplace.Folder("service-source");
        Repository.CopySources(root, source);
        var output = run.Workplace.Folder("service");
        Publish(Path.Combine(source, "src", "RefillPlanner.Service"), output, "-p:RestorePackagesWithLockFile=false");
        return Path.Combine(output, "refill-planner");
    }

    private static string PublishHost(BenchmarkRun run, string root)
    {
        var source = run.Workplace.Folder("host-source");
        foreach (var file in Directory.EnumerateFiles(Path.Combine(AppContext.BaseDirectory, "Programs", "EmptyHost")))
            File.Copy(file, Path.Combine(source, Path.GetFileName(file)), overwrite: true);
        var output = run.Workplace.Folder("host");
        Publish(source, output, $"-p:HostingVersion={Repository.PackageVersion(root, "Microsoft.Extensions.Hosting")}");
        return Path.Combine(output, "EmptyHost");
    }

    private static void Publish(string source, string output, string property)
    {
        var platform = RuntimeInformation.ProcessArchitecture == Architecture.Arm64 ? "linux-arm64" : "linux-x64";
        ChildProgram.Run("dotnet", ["publish", source, "-c", "Release", "-r", platform, "--self-contained", "false", "-p:PublishReadyToRun=true", "-p:RunAnalyzers=false", property, "-o", output, "-v", "quiet"]);
    }
}
