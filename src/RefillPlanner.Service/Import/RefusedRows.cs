using System;
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
    /// <param name="roster">The judged roster.</param>
    /// <exception cref="IOException">A file of that name is there already: it may be one that somebody is mending.</exception>
    public static void Write(string folder, JudgedRoster roster)
    {
        if (OperatingSystem.IsWindows())
            Directory.CreateDirectory(folder);
        else
            Directory.CreateDirectory(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        foreach (var part in roster.RefusedParts)
        {
            using var file = Create(Path.Combine(folder, part.File));
            foreach (var row in part.Header.IsEmpty ? part.Rows : part.Rows.Prepend(part.Header))
            {
                file.Write(row.Span);
                if (!part.Header.IsEmpty)
                    file.Write("\r\n"u8);
            }
        }

        WriteReasons(Path.Combine(folder, ReasonsFile), roster);
    }

    private static void WriteReasons(string path, JudgedRoster roster)
    {
        using var file = Create(path);
        using var writer = CsvWriter.Create(file, new CsvWriterOptions { Injection = CsvInjection.Escape });
        writer.WriteRecord(["file", "line", "column", "value", "reason"]);
        foreach (var refusal in roster.Refusals)
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
