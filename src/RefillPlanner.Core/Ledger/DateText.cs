using System.Globalization;
using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>Dates as people read them: written out, never <c>3/6</c>. The program is culture-invariant; the names stand here.</summary>
public static class DateText
{
    private static readonly string[] EnglishDays = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];
    private static readonly string[] SpanishDays = ["lunes", "martes", "miércoles", "jueves", "viernes", "sábado", "domingo"];
    private static readonly string[] EnglishMonths = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
    private static readonly string[] SpanishMonths = ["enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre", "noviembre", "diciembre"];

    /// <summary>A date in English, with the year where that is not the reader's.</summary>
    /// <param name="date">The date.</param>
    /// <param name="today">The reader's date.</param>
    /// <example><c>Friday, March 6</c>; <c>Friday, January 1, 2027</c>.</example>
    public static string Day(LocalDate date, LocalDate today) => Day(date, today, Language.English);

    /// <summary>A date in English with its year, for a reader whose date is not known.</summary>
    /// <example><c>Friday, March 6, 2026</c>.</example>
    public static string Full(LocalDate date) => Day(date, LocalDate.MinIsoValue, Language.English);

    /// <summary>A date of birth in English, without the weekday.</summary>
    /// <example><c>April 24, 1943</c>.</example>
    public static string Birth(LocalDate date) => $"{EnglishMonths[date.Month - 1]} {date.Day.ToString(CultureInfo.InvariantCulture)}, {date.Year.ToString(CultureInfo.InvariantCulture)}";

    /// <summary>A date in a language, with the year where that is not the reader's.</summary>
    /// <example><c>viernes, 6 de marzo</c>; <c>viernes, 1 de enero de 2027</c>.</example>
    public static string Day(LocalDate date, LocalDate today, Language language)
    {
        var day = date.Day.ToString(CultureInfo.InvariantCulture);
        var year = date.Year == today.Year ? string.Empty : date.Year.ToString(CultureInfo.InvariantCulture);
        return language == Language.Spanish
            ? $"{SpanishDays[(int)date.DayOfWeek - 1]}, {day} de {SpanishMonths[date.Month - 1]}{(year.Length > 0 ? $" de {year}" : year)}"
            : $"{EnglishDays[(int)date.DayOfWeek - 1]}, {EnglishMonths[date.Month - 1]} {day}{(year.Length > 0 ? $", {year}" : year)}";
    }
}
