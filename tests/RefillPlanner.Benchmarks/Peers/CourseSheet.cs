using System.Collections.Generic;
using System.IO;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>
/// Courses in a spreadsheet as an able user would keep them: for each course a row with what is known and, in column Q, the run-out;
/// below it a row for each dosing day, copied down as far as the run-out.
/// </summary>
internal static class CourseSheet
{
    private const int MostSteps = 4;
    private const long NoStep = 1_000_000_000;

    /// <summary>Writes the sheet.</summary>
    /// <param name="path">The file.</param>
    /// <param name="courses">The courses.</param>
    /// <param name="withFormulas">False: the same sheet with the values that the formulas come to.</param>
    public static void Write(string path, IReadOnlyList<PeerCourse> courses, bool withFormulas)
    {
        using var output = new StreamWriter(path);
        var cell = new SheetCell(output, withFormulas);
        cell.BeginSheet();
        var row = 1;
        foreach (var course in courses)
            row = WriteCourse(cell, course, row);
        cell.EndSheet();
    }

    private static int WriteCourse(SheetCell cell, PeerCourse course, int head)
    {
        var doses = ListDoses(course);
        var last = head + doses.Count;
        cell.BeginRow();
        WriteHead(cell, course);
        cell.Formula($"INDEX([.B{head + 1}:.B{last}];MATCH(0;[.I{head + 1}:.I{last}];0))", doses[^1].Day);
        cell.EndRow();
        for (var i = 0; i < doses.Count; i++)
            WriteDose(cell, i + 1, head, head + i + 1, doses[i]);
        return last + 1;
    }

    // A number, B vials, C volume, D days in use; E-H the first dose of each step, I-L what a dose of it takes, M-P its days from dose to dose.
    private static void WriteHead(SheetCell cell, PeerCourse course)
    {
        cell.Number(course.Number);
        cell.Number(course.Vials);
        cell.Number(course.VialVolume);
        cell.Number(course.InUseDays);
        long first = 1;
        for (var i = 0; i < MostSteps; i++)
        {
            cell.Number(i < course.Steps.Count ? first : NoStep + i);
            first += i < course.Steps.Count ? course.Steps[i].DosingDays ?? 0 : 0;
        }

        for (var i = 0; i < MostSteps; i++)
            cell.Number(i < course.Steps.Count ? course.Needed(course.Steps[i]) : 0);
        for (var i = 0; i < MostSteps; i++)
            cell.Number(i < course.Steps.Count ? course.Steps[i].EveryDays : 0);
    }

    // A dose, B day, C taken, D days to the next, E fits into the open vial, F vials still sealed, G opened on, H left, I given.
    private static void WriteDose(SheetCell cell, int number, int head, int row, SheetDose dose)
    {
        var before = row - 1;
        var isFirst = number == 1;
        var vials = isFirst ? $"[.B{head}]" : $"[.F{before}]";
        var opened = isFirst ? "-1000" : $"[.G{before}]";
        var left = isFirst ? "0" : $"[.H{before}]";
        cell.BeginRow();
        cell.Number(number);
        cell.Formula(isFirst ? "0" : $"[.B{before}]+[.D{before}]", dose.Day);
        cell.Formula($"LOOKUP([.A{row}];[.E{head}:.H{head}];[.I{head}:.L{head}])", dose.Needed);
        cell.Formula($"LOOKUP([.A{row}];[.E{head}:.H{head}];[.M{head}:.P{head}])", dose.EveryDays);
        cell.Formula($"IF(AND({left}>=[.C{row}];[.B{row}]<={opened}+[.D{head}]-1);1;0)", dose.Fits ? 1 : 0);
        cell.Formula($"IF(AND([.E{row}]=0;{vials}>0);{vials}-1;{vials})", dose.Sealed);
        cell.Formula($"IF(AND([.E{row}]=0;{vials}>0);[.B{row}];{opened})", dose.OpenedOn);
        cell.Formula($"IF([.E{row}]=1;{left}-[.C{row}];IF({vials}>0;[.C{head}]-[.C{row}];0))", dose.Left);
        cell.Formula($"IF(OR([.E{row}]=1;{vials}>0);1;0)", dose.Given ? 1 : 0);
        cell.EndRow();
    }

    // The same by hand, for the sheet with values and for how far to copy down: up to and with the dose that cannot be given.
    private static List<SheetDose> ListDoses(PeerCourse course)
    {
        var doses = new List<SheetDose>();
        var (sealedVials, left, opened, day, step, given) = (course.Vials, 0L, -1000, 0, 0, 0);
        while (true)
        {
            var every = course.Steps[step].EveryDays;
            var needed = course.Needed(course.Steps[step]);
            var fits = left >= needed && day <= opened + course.InUseDays - 1;
            var isGiven = fits || sealedVials > 0;
            if (fits)
                left -= needed;
            else
                (sealedVials, opened, left) = isGiven ? (sealedVials - 1, day, course.VialVolume - needed) : (0, opened, 0);
            doses.Add(new SheetDose(day, needed, every, fits, sealedVials, opened, left, isGiven));
            if (!isGiven)
                return doses;
            day += every;
            if (++given == course.Steps[step].DosingDays)
                (step, given) = (step + 1, 0);
        }
    }

    private readonly record struct SheetDose(int Day, long Needed, int EveryDays, bool Fits, int Sealed, int OpenedOn, long Left, bool Given);
}
