using System.Globalization;
using System.IO;
using System.Linq;
using CsvHelper;
using NodaTime;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>The facts of a large roster as <c>facts.csv</c>.</summary>
internal static class FactsCsv
{
    public const string Name = "facts.csv";

    /// <summary>Writes the first so many of them, in order of course and day.</summary>
    /// <returns>How many there were.</returns>
    public static int Write(string folder, LargeRoster roster, int count)
    {
        using var writer = CsvWriter.Create(new FileStream(Path.Combine(folder, Name), FileMode.Create, FileAccess.Write), new CsvWriterOptions());
        writer.WriteRecord(["fact_id", "course_id", "kind", "on", "product_id", "containers", "volume_ml", "expires_on", "lot", "until", "opened_on", "step", "days_supply", "note"]);
        var written = 0;
        foreach (var fact in roster.ListPatients().SelectMany(patient => patient.Courses).SelectMany(course => course.Facts).Take(count))
        {
            writer.WriteRecord(
            [
                fact.Id, fact.CourseId, Kebab.Of(fact.Kind), DayText.Of(fact.On), fact.ProductId ?? "", Text(fact.Containers), fact.Volume?.ToString() ?? "", Text(fact.ExpiresOn),
                fact.Lot ?? "", Text(fact.Until), Text(fact.OpenedOn), Text(fact.Step), Text(fact.DaysSupply), fact.Note ?? "",
            ]);
            written++;
        }

        return written;
    }

    private static string Text(int? number) => number?.ToString(CultureInfo.InvariantCulture) ?? "";

    private static string Text(LocalDate? date) => date is LocalDate day ? DayText.Of(day) : "";
}
