using System.Globalization;

namespace RefillPlanner.Benchmarks;

/// <summary>Figures as they stand in the table.</summary>
internal static class Figures
{
    /// <summary>A duration in the unit that suits it.</summary>
    public static string Time(double nanoseconds) => nanoseconds switch
    {
        < 10_000 => string.Create(CultureInfo.InvariantCulture, $"{nanoseconds:#,##0} ns"),
        < 10_000_000 => string.Create(CultureInfo.InvariantCulture, $"{nanoseconds / 1e3:#,##0} µs"),
        < 10_000_000_000 => string.Create(CultureInfo.InvariantCulture, $"{nanoseconds / 1e6:#,##0} ms"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{nanoseconds / 1e9:#,##0.0} s"),
    };

    /// <summary>A count with its thousands.</summary>
    public static string Count(long count) => count.ToString("#,##0", CultureInfo.InvariantCulture);

    /// <summary>Memory in MiB.</summary>
    public static string Memory(long kibibytes) => string.Create(CultureInfo.InvariantCulture, $"{kibibytes / 1024.0:#,##0} MiB");
}
