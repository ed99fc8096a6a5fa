using System;
using System.Collections.Generic;
using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using System.IO;
using System.Linq;
using RefillPlanner.Benchmarks.Measuring;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>
/// A spreadsheet in LibreOffice without a window. Where its Python bindings are installed, the sheet stays open and all formulas are
/// calculated again (a hard recalculation); else it is converted with formulas and with values, and the difference is taken.
/// </summary>
internal static class Spreadsheet
{
    private const int RunOutColumn = 16;
    private const int Times = 3;

    // Debian's bindings belong to Debian's Python, whatever other stands first in the path.
    private static readonly string[] Pythons = ["/usr/bin/python3", "python3"];

    /// <summary>Calculates it; null: there is no LibreOffice.</summary>
    public static PeerRun? Run(IReadOnlyList<PeerCourse> courses, string folder)
    {
        if (ChildProgram.TryRun("soffice", ["--version"]) is null)
            return null;
        var formulas = Path.Combine(folder, "formulas.fods");
        CourseSheet.Write(formulas, courses, withFormulas: true);
        var python = Array.Find(Pythons, python => ChildProgram.TryRun(python, ["-c", "import uno"]) is { ExitCode: 0 });
        return python is null ? Convert(courses, formulas, folder) : Recalculate(python, formulas, folder);
    }

    private static PeerRun Recalculate(string python, string formulas, string folder)
    {
        var pipe = $"refill-planner-{Environment.ProcessId}";
        var output = Path.Combine(folder, "run-outs.txt");
        using var office = Process.Start(new ProcessStartInfo("soffice", [Profile(folder), "--headless", "--norestore", $"--accept=pipe,name={pipe};urp;"]) { UseShellExecute = false, RedirectStandardOutput = true, RedirectStandardError = true })
            ?? throw new Win32Exception("soffice did not start");
        var run = ChildProgram.Run(python, [Path.Combine(AppContext.BaseDirectory, "Programs", "recalculate.py"), pipe, formulas, Times.ToString(CultureInfo.InvariantCulture), output]);
        office.WaitForExit();
        var seconds = run.Output.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(line => double.Parse(line, CultureInfo.InvariantCulture)).ToList();
        return new PeerRun(
            "a spreadsheet",
            Timing.Median(seconds) * 1e9,
            [.. File.ReadLines(output).Select(line => int.Parse(line, CultureInfo.InvariantCulture))],
            "LibreOffice without a window, one row a dosing day; the sheet is open, all its formulas are calculated again, middle of three");
    }

    private static PeerRun Convert(IReadOnlyList<PeerCourse> courses, string formulas, string folder)
    {
        var values = Path.Combine(folder, "values.fods");
        CourseSheet.Write(values, courses, withFormulas: false);
        Convert(values, folder);
        var withFormulas = Timing.Median(Times, () => Convert(formulas, folder));
        var withValues = Timing.Median(Times, () => Convert(values, folder));
        return new PeerRun(
            "a spreadsheet",
            withFormulas - withValues,
            Read(Path.Combine(folder, "formulas.csv")),
            "LibreOffice without a window, one row a dosing day; the time to convert the sheet with formulas less that of the same sheet with values, middle of three each: the formulas' reading is in it, for want of LibreOffice's Python bindings");
    }

    private static void Convert(string file, string folder) => ChildProgram.Run("soffice", [Profile(folder), "--headless", "--convert-to", "csv", "--outdir", folder, file]);

    private static string Profile(string folder) => $"-env:UserInstallation=file://{Path.GetFullPath(folder)}/profile";

    // Only the first row of a course has so many columns filled.
    private static List<int> Read(string file) =>
    [
        .. File.ReadLines(file)
            .Select(line => line.Split(','))
            .Where(cells => cells.Length > RunOutColumn && cells[RunOutColumn].Length > 0)
            .Select(cells => int.Parse(cells[RunOutColumn], CultureInfo.InvariantCulture)),
    ];
}
