using System;
using System.IO;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Peers;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Benchmarks.Rows;

namespace RefillPlanner.Benchmarks;

/// <summary>The files of a run: rosters as they were written, and copies in which work is done.</summary>
internal sealed class Workplace : IDisposable
{
    private const int RosterVersion = 6;
    private const string Stamp = "roster.txt";

    private readonly BenchmarkOptions _options;
    private readonly string _kept;
    private readonly DirectoryInfo _passing;
    private RowStream? _stream;

    public Workplace(BenchmarkOptions options)
    {
        _options = options;
        _passing = options.Data is null
            ? Directory.CreateTempSubdirectory("refill-planner-benchmarks-")
            : Directory.CreateDirectory(Path.Combine(options.Data, $"passing-{Environment.ProcessId}"));
        _kept = options.Data ?? _passing.FullName;
    }

    /// <summary>What streams rows; compiled once.</summary>
    public RowStream Stream => _stream ??= RowStream.Build(_passing.FullName);

    /// <summary>A folder for whatever a row needs; gone after the run.</summary>
    public string Folder(string name) => Directory.CreateDirectory(Path.Combine(_passing.FullName, name)).FullName;

    /// <summary>The folder of an unplanned roster; not to be written to.</summary>
    public string Roster(int courses, bool withFacts = true)
    {
        var folder = Path.Combine(_kept, $"courses-{courses}{(withFacts ? string.Empty : "-bare")}");
        var stamp = $"{courses} courses, seed {_options.Seed}, version {RosterVersion}";
        var stampFile = Path.Combine(folder, Stamp);
        if (!File.Exists(stampFile) || File.ReadAllText(stampFile) != stamp)
        {
            Console.WriteLine($"    Writing a roster of {Figures.Count(courses)} courses");
            RosterFile.Write(folder, new LargeRoster(courses, _options.Seed), withFacts);
            File.WriteAllText(stampFile, stamp);
        }

        return folder;
    }

    /// <summary>A copy of an unplanned roster.</summary>
    public string Copy(int courses, string name, bool withFacts = true)
    {
        var folder = Folder(name);
        File.Copy(Path.Combine(Roster(courses, withFacts), RosterFile.Name), Path.Combine(folder, RosterFile.Name), overwrite: true);
        return folder;
    }

    /// <summary>A copy of a roster that the planner has planned. Rows may add to it; it is shared by the rows of a run.</summary>
    public string Planned(int courses)
    {
        var name = $"planned-{courses}";
        if (File.Exists(Path.Combine(_passing.FullName, name, RosterFile.Name)))
            return Folder(name);
        var folder = Copy(courses, name);
        Console.WriteLine($"    Planning {Figures.Count(courses)} courses for the first time");
        var planned = Replanning.RunChild(folder);
        Console.WriteLine($"    {Figures.Count(planned.Patients)} patients in {Figures.Time(planned.Milliseconds * 1e6)}");
        FileCache.Warm(Path.Combine(folder, RosterFile.Name));
        return folder;
    }

    public void Dispose() => _passing.Delete(recursive: true);
}
