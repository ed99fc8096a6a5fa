using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using RefillPlanner.Benchmarks.Measuring;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>A spreadsheet, calculated by LibreOffice without a window.</summary>
internal static class Spreadsheet
{
    private const int RunOutColumn = 16;

    /// <summary>Calculates it; null: there is no LibreOffice.</summary>
    public static PeerRun? Run(IReadOnlyList<PeerCourse> courses, string folder)
    {
        var formulas = Path.Combine(folder, "formulas.fods");
        var values = Path.Combine(folder, "values.fods");
        CourseSheet.Write(formulas, courses, withFormulas: true);
        CourseSheet.Write(values, courses, withFormulas: false);
        if (Convert(values, folder) is null)
            return null;
        var withFormulas = new List<double>();
        var withValues = new List<double>();
        for (var i = 0; i < 3; i++)
        {
            withFormulas.Add(Convert(formulas, folder)!.Value);
            withValues.Add(Convert(values, folder)!.Value);
        }

        var found = Read(Path.Combine(folder, "formulas.csv"));
        return new PeerRun(
            "spreadsheet",
            Timing.Median(withFormulas) - Timing.Median(withValues),
            found,
            "LibreOffice without a window, one row a dosing day; the time to convert the sheet with formulas less that of the same sheet with values, middle of three each");
    }

    private static double? Convert(string file, string folder)
    {
        ChildRun? run = null;
        var time = Timing.Nanoseconds(() => run = ChildProgram.TryRun(
            "soffice", [$"-env:UserInstallation=file://{Path.GetFullPath(folder)}/profile", "--headless", "--convert-to", "csv", "--outdir", folder, file]));
        return run switch
        {
            null => null,
            { ExitCode: 0 } => time,
            _ => throw new InvalidOperationException($"LibreOffice ended with {run.ExitCode}: {run.Errors}"),
        };
    }

    // Only the first row of a course has so many columns filled.
    private static List<int> Read(string file) =>
    [
        .. File.ReadLines(file)
            .Select(line => line.Split(','))
            .Where(cells => cells.Length > RunOutColumn && cells[RunOutColumn].Length > 0)
            .Select(cells => int.Parse(cells[RunOutColumn], CultureInfo.InvariantCulture)),
    ];
}
