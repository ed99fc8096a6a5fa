using System.IO;
using System.Linq;
using System.Text;
using CsvHelper;

namespace RefillPlanner.Service.Import;

/// <summary>Writes the refused rows so that they can be mended and fed again, and beside them why each was refused.</summary>
public static class RefusedRows
{
    /// <summary>Name of the file that gives the reasons; it is no file of a roster and is passed over when the folder is imported.</summary>
    public const string ReasonsFile = "refusals.txt";

    /// <summary>Writes the refused rows of a report into a folder, which is made.</summary>
    public static void Write(RosterReport report, string folder)
    {
        Directory.CreateDirectory(folder);
        foreach (var (file, header) in report.Headers)
        {
            var rows = report.ListRefusedRows(file).ToArray();
            if (rows.Length > 0)
                File.WriteAllText(Path.Combine(folder, file), string.Join("\r\n", rows.Prepend(header)) + "\r\n", new UTF8Encoding(encoderShouldEmitUTF8Identifier: false));
        }

        File.WriteAllLines(Path.Combine(folder, ReasonsFile), report.Refusals.Select(refusal => refusal.ToString()));
    }
}
