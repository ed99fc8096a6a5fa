using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>Lists and names as they stand in one text column.</summary>
internal static class Columns
{
    /// <summary>How many characters a date has.</summary>
    public const int DateWidth = 10;

    /// <summary>An enum member by its written name.</summary>
    /// <exception cref="InvalidOperationException">The column holds a name that this program does not know.</exception>
    public static T Member<T>(string text)
        where T : struct, Enum =>
        Kebab.TryParse<T>(text, out var value) ? value.Value : throw new InvalidOperationException($"The database holds \"{text}\" where a {typeof(T).Name} is expected.");

    /// <summary>Dates joined by semicolons.</summary>
    public static string Join(IReadOnlyList<LocalDate> dates) => string.Join(';', dates.Select(LocalDatePattern.Iso.Format));

    /// <summary>Weekday numbers (Monday is 1) joined by semicolons.</summary>
    public static string Join(IReadOnlyList<IsoDayOfWeek> days) => string.Join(';', days.Select(day => (int)day));

    /// <summary>Amounts in billionths joined by semicolons.</summary>
    public static string Join(IReadOnlyList<Amount> amounts) => string.Join(';', amounts.Select(amount => amount.Billionths));

    /// <summary>Dates of a column.</summary>
    public static IReadOnlyList<LocalDate> Dates(string text) => [.. Split(text).Select(item => LocalDatePattern.Iso.Parse(item).GetValueOrThrow())];

    /// <summary>Weekdays of a column.</summary>
    public static IReadOnlyList<IsoDayOfWeek> Weekdays(string text) => [.. Split(text).Select(item => (IsoDayOfWeek)int.Parse(item))];

    /// <summary>Amounts of a column.</summary>
    public static IReadOnlyList<Amount> Amounts(string text) => [.. Split(text).Select(item => new Amount(long.Parse(item)))];

    /// <summary>Writes a date as it stands in a column: four digits, two, two.</summary>
    /// <param name="date">Of a year from 0 to 9999.</param>
    /// <param name="bytes">At least <see cref="DateWidth"/> of them.</param>
    /// <exception cref="ArgumentOutOfRangeException">The year has not four digits.</exception>
    public static void Write(LocalDate date, Span<byte> bytes)
    {
        var (year, month, day) = date;
        ArgumentOutOfRangeException.ThrowIfNegative(year, nameof(date));
        ArgumentOutOfRangeException.ThrowIfGreaterThan(year, 9999, nameof(date));
        (bytes[4], bytes[7]) = ((byte)'-', (byte)'-');
        WriteDigits(bytes[..4], year);
        WriteDigits(bytes[5..7], month);
        WriteDigits(bytes[8..DateWidth], day);
    }

    /// <summary>Writes a number with leading zeros over all of some bytes.</summary>
    public static void WriteDigits(Span<byte> bytes, int number)
    {
        for (var i = bytes.Length - 1; i >= 0; i--, number /= 10)
            bytes[i] = (byte)('0' + number % 10);
    }

    /// <summary>A date as it stands in a column: four digits, two, two.</summary>
    /// <exception cref="InvalidOperationException">The column holds no date.</exception>
    public static LocalDate Date(string text)
    {
        if (text.Length != 10 || text[4] != '-' || text[7] != '-')
            throw new InvalidOperationException($"The database holds \"{text}\" where a date is expected.");
        return new LocalDate(Number(text, 0, 4), Number(text, 5, 7), Number(text, 8, 10));
    }

    private static int Number(string text, int from, int until)
    {
        var number = 0;
        for (var i = from; i < until; i++)
            number = number * 10 + (char.IsAsciiDigit(text[i]) ? text[i] - '0' : throw new InvalidOperationException($"The database holds \"{text}\" where a date is expected."));
        return number;
    }

    private static string[] Split(string text) => text.Split(';', StringSplitOptions.RemoveEmptyEntries);
}
