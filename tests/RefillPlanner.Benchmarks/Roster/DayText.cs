using System.Collections.Generic;
using NodaTime;
using NodaTime.Text;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>Dates as they stand in columns, each written once.</summary>
internal static class DayText
{
    private static readonly Dictionary<LocalDate, string> Known = [];

    public static string Of(LocalDate date)
    {
        if (!Known.TryGetValue(date, out var text))
            Known.Add(date, text = LocalDatePattern.Iso.Format(date));
        return text;
    }
}
