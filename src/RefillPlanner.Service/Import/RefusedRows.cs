using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using CsvHelper;

namespace RefillPlanner.Service.Import;

/// <summary>
/// Writes what was refused as a roster of its own: the rows as read under their header, to be mended and imported again, and the
/// reasons beside them in a file that an import passes over. Readable by its owner only.
/// </summary>
public static class RefusedRows
{
    /// <summary>The file of reasons.</summary>
    public const string ReasonsFile = "refusals.csv";

    /// <summary>Writes a folder.</summary>
    /// <param name="folder">Made if it is not there.</param>
    /// <param name="files">The judged files.</param>
    /// <param name="refusals">Why, in the order in which the reasons are to stand.</param>
    /// <exception cref="IOException">A file of that name is there already: it may be one that somebody is mending.</exception>
    internal static void Write(string folder, IReadOnlyList<FileJudgement> files, IEnumerable<Refusal> refusals)
    {
        if (OperatingSystem.IsWindows())
            Directory.CreateDirectory(folder);
        else
            Directory.CreateDirectory(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        foreach (var file in files.Where(file => file.RefusedRows > 0 || (file.Sheet.IsRefused && file.Sheet.HasBytes)))
        {
            using var part = Create(Path.Combine(folder, file.Sheet.Schema.File));
            if (file.Sheet.IsRefused)
                WriteWhole(part, file.Sheet);
            else
                WriteRows(part, file);
        }

        WriteReasons(Path.Combine(folder, ReasonsFile), refusals);
    }

    private static void WriteWhole(FileStream part, RosterSheet sheet)
    {
        using var bytes = sheet.ReadBytes();
        bytes.CopyTo(part);
    }

    private static void WriteRows(FileStream part, FileJudgement file)
    {
        foreach (var row in file.ListRefused().Select(row => row.Bytes).Prepend(file.Sheet.Header))
        {
            part.Write(row);
            part.Write("\r\n"u8);
        }
    }

    private static void WriteReasons(string path, IEnumerable<Refusal> refusals)
    {
        using var file = Create(path);
        using var writer = CsvWriter.Create(file, new CsvWriterOptions { Injection = CsvInjection.Escape });
        writer.WriteRecord(["file", "line", "column", "value", "reason"]);
        foreach (var refusal in refusals)
            writer.WriteRecord([refusal.File, refusal.Line.ToString(CultureInfo.InvariantCulture), refusal.Column, refusal.PrintableValue, refusal.PrintableReason]);
    }

    private static FileStream Create(string path)
    {
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows())
            options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        return new FileStream(path, options);
    }
}
