using System;
using System.Collections.Generic;
using System.IO;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>F10: facts imported for courses that are on record, against parsing the CSV and inserting the rows as they are.</summary>
internal static class ImportRow
{
    private const string Row = "F10";
    private const int FewestFactsOfCourse = 4;
    private const int Times = 3;

    public static void Measure(BenchmarkRun run)
    {
        if (Run(run, run.Options.Courses, Figures.Count(run.Options.Courses)) is not (Imported ours, Imported bare) || run.Options.Short)
            return;
        run.Report.Add(Row, $"import of {Figures.Count(ours.Facts)} facts", Figures.Time(ours.Milliseconds * 1e6), $"{Figures.Time(bare.Milliseconds * 1e6)} CSV parse and bare prepared inserts", ours.Milliseconds / bare.Milliseconds, new Goal(2.0));
        if (Run(run, run.Options.Courses / 10, "a tenth of the facts") is not (Imported small, Imported smallBare))
            return;
        run.Report.Add(Row, $"peak memory over that at {Figures.Count(small.Facts)}", Figures.Memory(ours.PeakKibibytes), Figures.Memory(small.PeakKibibytes), (double)ours.PeakKibibytes / small.PeakKibibytes, new Goal(1.2));
        run.Report.Add(Row, "peak memory of the bare import likewise", Figures.Memory(bare.PeakKibibytes), Figures.Memory(smallBare.PeakKibibytes), (double)bare.PeakKibibytes / smallBare.PeakKibibytes);
        run.Report.Remark("F10: both in a process of their own on a fresh copy of the same file, whose courses are on record without facts; one transaction, foreign keys on, WAL, synchronous=FULL; afterwards both files hold the same facts; in turns, middle of three.");
    }

    private static (Imported Ours, Imported Bare)? Run(BenchmarkRun run, int facts, string what)
    {
        var courses = int.Max(1_000, facts / FewestFactsOfCourse);
        var csv = run.Workplace.Folder("facts");
        var count = FactsCsv.Write(csv, new LargeRoster(courses, run.Options.Seed), facts);
        var ours = new List<Imported>();
        var bare = new List<Imported>();
        for (var i = 0; i < (run.Options.Short ? 1 : Times); i++)
        {
            var (next, nextBare, complaint) = RunOnce(run, courses, csv, count);
            run.Report.Check(Row, $"{what}: {Figures.Count(next.Facts)} of {Figures.Count(count)} facts imported, {complaint ?? "the same as by bare inserts"}", complaint is null);
            if (complaint is not null)
                return null;
            ours.Add(next);
            bare.Add(nextBare);
        }

        return (Middle(ours), Middle(bare));
    }

    private static (Imported Ours, Imported Bare, string? Complaint) RunOnce(BenchmarkRun run, int courses, string csv, int count)
    {
        var folder = run.Workplace.Copy(courses, "import", withFacts: false);
        var bareFolder = run.Workplace.Copy(courses, "bare-import", withFacts: false);
        foreach (var file in new[] { folder, bareFolder })
            FileCache.Warm(Path.Combine(file, RosterFile.Name));
        var bare = Imported.FromLine(ChildProgram.RunSelf("bare-import", bareFolder, csv).Output);
        var ours = Imported.FromLine(ChildProgram.RunSelf("import", folder, csv).Output);
        var complaint = ours.Complaint.Length > 0 ? $"refused: {ours.Complaint}"
            : ours.Facts != count || bare.Facts != count || CountDifferences(folder, bareFolder) != 0 ? "not the same as by bare inserts" : null;
        Directory.Delete(folder, recursive: true);
        Directory.Delete(bareFolder, recursive: true);
        return (ours, bare, complaint);
    }

    private static Imported Middle(List<Imported> runs)
    {
        runs.Sort((left, right) => left.Milliseconds.CompareTo(right.Milliseconds));
        return runs[runs.Count / 2];
    }

    // Facts that one file has and the other has not, or not so.
    private static long CountDifferences(string left, string right)
    {
        const string Columns = "fact_id, course_id, kind, on_date, product_id, containers, volume, expires_on, lot, until, opened_on, step, days_supply, note";
        using var connection = RosterFile.Connect(left);
        using var command = connection.CreateCommand();
        command.CommandText = $"ATTACH $other AS other; SELECT (SELECT count(*) FROM (SELECT {Columns} FROM main.facts EXCEPT SELECT {Columns} FROM other.facts)) + abs((SELECT count(*) FROM main.facts) - (SELECT count(*) FROM other.facts));";
        command.Parameters.AddWithValue("$other", Path.Combine(right, RosterFile.Name));
        return Convert.ToInt64(command.ExecuteScalar(), System.Globalization.CultureInfo.InvariantCulture);
    }
}
