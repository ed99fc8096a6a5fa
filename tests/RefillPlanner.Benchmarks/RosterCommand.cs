using System;
using System.Diagnostics;
using System.Globalization;
using System.IO;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Peers;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks;

/// <summary><c>roster FOLDER COURSES</c>: writes a large roster and prints how fast its rows can be read, in either order.</summary>
internal static class RosterCommand
{
    public static int Run(string[] args)
    {
        if (args.Length != 2 || !int.TryParse(args[1], NumberStyles.None, CultureInfo.InvariantCulture, out var courses))
        {
            Console.Error.WriteLine(BenchmarkOptions.Usage);
            return 2;
        }

        var clock = Stopwatch.StartNew();
        var rows = RosterFile.Write(args[0], new LargeRoster(courses, 1));
        var file = Path.Combine(args[0], RosterFile.Name);
        Console.WriteLine($"{Figures.Count(rows)} rows in {Figures.Time(clock.Elapsed.TotalNanoseconds)}, {new FileInfo(file).Length >> 20} MiB");
        FileCache.Warm(file);
        var folder = Directory.CreateTempSubdirectory("refill-planner-benchmarks-");
        var stream = RowStream.Build(folder.FullName);
        for (var i = 0; i < 3; i++)
        {
            Console.WriteLine($"{stream.Name}, table after table: {stream.InRowOrder(args[0])}");
            Console.WriteLine($"{stream.Name}, course by course: {stream.InKeyOrder(args[0])}");
        }

        Console.WriteLine($"raw statement, table after table: {RawStream.Run(args[0], PlanningRows.InRowOrder)}");
        Console.WriteLine($"SQLite {SQLitePCL.raw.sqlite3_libversion().utf8_to_string()} in this program");
        folder.Delete(recursive: true);
        return 0;
    }
}
