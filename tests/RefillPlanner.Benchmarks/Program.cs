using System;
using System.Globalization;
using System.IO;
using System.Threading.Tasks;
using Microsoft.Data.Sqlite;
using RefillPlanner.Benchmarks;
using RefillPlanner.Benchmarks.Kernels;
using RefillPlanner.Benchmarks.Rows;

switch (args)
{
    case ["--help" or "-h", ..]:
        Console.WriteLine(BenchmarkOptions.Usage);
        return 0;
    case ["--kernels", ..]:
        return KernelRun.Start(args[1..]);
    case ["roster", ..]:
        return RosterCommand.Run(args[1..]);

    // What is measured in a process of its own, started by this program.
    case ["replan", ..]:
        return Replanning.Child(args[1..]);
    case ["import", ..]:
        return FactImport.Child(args[1..]);
    case ["bare-import", ..]:
        return BareImport.Child(args[1..]);
}

if (BenchmarkOptions.Parse(args, out var mistake) is not BenchmarkOptions options)
{
    await Console.Error.WriteLineAsync($"{mistake}{Environment.NewLine}{BenchmarkOptions.Usage}");
    return 2;
}

var report = new Report();
using (var workplace = new Workplace(options))
{
    var run = new BenchmarkRun(options, workplace, report);
    foreach (var (rows, measure) in AllRows.List)
    {
        if (!Array.Exists(rows, options.Wants))
            continue;
        try
        {
            measure(run);
        }
        catch (Exception failure) when (failure is InvalidOperationException or IOException or SqliteException)
        {
            // One row that cannot be measured does not stop the others.
            report.Check(string.Join(", ", rows), $"not measured: {failure.Message}", isGood: false);
        }
    }
}

Console.WriteLine();
report.Print(Console.Out);
var heading = string.Create(CultureInfo.InvariantCulture, $"{DateTime.UtcNow:yyyy-MM-dd}, {Environment.ProcessorCount} cores, .NET {Environment.Version}, {options.Courses:#,##0} courses.");
if (options.Markdown is string file)
    await File.WriteAllTextAsync(file, report.ToMarkdown(heading));
return report.IsGood ? 0 : 1;
