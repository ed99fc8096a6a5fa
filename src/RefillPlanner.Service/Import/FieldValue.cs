using System;
using System.Collections.Generic;
using System.Diagnostics.CodeAnalysis;
using System.Globalization;
using System.Linq;
using System.Text.RegularExpressions;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Numbers, dates and words of closed lists, read strictly: what could mean two things is refused.</summary>
internal static partial class FieldValue
{
    private static readonly string[] Weekdays = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

    private static readonly Dictionary<string, string> UnitHints = new(StringComparer.OrdinalIgnoreCase)
    {
        ["u"] = "units",
        ["iu"] = "units",
        ["ui"] = "units",
        ["unit"] = "units",
        ["units"] = "units",
        ["unidades"] = "units",
        ["µg"] = "mcg",
        ["μg"] = "mcg",
        ["ug"] = "mcg",
        ["mcg"] = "mcg",
        ["mg"] = "mg",
    };

    /// <summary>An amount of drug above zero, at most 1,000,000.</summary>
    public static bool Amount(string text, out Amount value, out string reason)
    {
        value = default;
        if (!Decimal(text, out var number, out reason))
            return false;
        if (number is <= 0 or > 1_000_000)
            return Refuse("an amount is above 0 and at most 1000000", out reason);
        value = Core.Ledger.Amount.From(number);
        return true;
    }

    /// <summary>A volume in mL above zero, at most 10,000.</summary>
    public static bool Volume(string text, out Volume value, out string reason) =>
        VolumeOrZero(text, out value, out reason)
        && (value > Core.Ledger.Volume.Zero || Refuse("a volume here is above 0 mL", out reason));

    /// <summary>A volume in mL, zero or more, at most 10,000.</summary>
    public static bool VolumeOrZero(string text, out Volume value, out string reason)
    {
        value = default;
        if (!Decimal(text, out var number, out reason))
            return false;
        if (number > 10_000)
            return Refuse("a volume is at most 10000 mL", out reason);
        value = Core.Ledger.Volume.FromMl(number);
        return true;
    }

    /// <summary>Units per mL of a barrel: above zero, at most 1,000,000.</summary>
    public static bool UnitsPerMl(string text, out decimal value, out string reason) =>
        Decimal(text, out value, out reason)
        && (value is > 0 and <= 1_000_000 || Refuse("units per mL are above 0 and at most 1000000", out reason));

    /// <summary>A plain decimal, zero or more, with at most 6 decimals.</summary>
    public static bool Decimal(string text, out decimal value, out string reason)
    {
        value = 0;
        if (!PlainDecimal().IsMatch(text))
            return Refuse(WhyNoDecimal(text), out reason);
        if (ReadsAsThousands().IsMatch(text))
            return Refuse("could be a decimal or a number with a thousands mark: leave the trailing zeros away", out reason);
        reason = "";
        value = decimal.Parse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture);
        return true;
    }

    /// <summary>A whole number between two limits, both included.</summary>
    public static FieldParser<int> Whole(int least, int most) => (string text, out int value, out string reason) =>
    {
        reason = "";
        return (PlainWhole().IsMatch(text) && int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out value) && value >= least && value <= most)
            || Refuse($"is no whole number from {least} to {most}", out value, out reason);
    };

    /// <summary>A date that exists, from 1900-01-01 to 2200-12-31.</summary>
    public static bool Date(string text, out LocalDate value, out string reason)
    {
        value = default;
        if (!IsoDate().IsMatch(text))
            return Refuse("is no date of the form 2026-03-31", out reason);
        var (year, month, day) = (Digits(text.AsSpan(0, 4)), Digits(text.AsSpan(5, 2)), Digits(text.AsSpan(8, 2)));
        if (month is < 1 or > 12 || day < 1 || day > CalendarSystem.Iso.GetDaysInMonth(year, month))
            return Refuse("there is no such date", out reason);
        if (year is < 1900 or > 2200)
            return Refuse("the year is not between 1900 and 2200", out reason);
        value = new LocalDate(year, month, day);
        reason = "";
        return true;
    }

    /// <summary>Dates with semicolons between; sorted, each once.</summary>
    public static bool Dates(string text, [MaybeNullWhen(false)] out IReadOnlyList<LocalDate> value, out string reason)
    {
        value = null;
        var dates = new SortedSet<LocalDate>();
        foreach (var item in text.Split(';'))
        {
            if (!Date(item.Trim(' '), out var date, out reason))
                return Refuse($"'{item}' {reason}; dates have a semicolon between them", out reason);
            dates.Add(date);
        }

        value = [.. dates];
        reason = "";
        return true;
    }

    /// <summary>Weekdays such as <c>sat;sun</c>; in the order of the week, each once.</summary>
    public static bool ClosedWeekdays(string text, [MaybeNullWhen(false)] out IReadOnlyList<IsoDayOfWeek> value, out string reason)
    {
        value = null;
        var days = new SortedSet<IsoDayOfWeek>();
        foreach (var item in text.Split(';'))
        {
            var place = Array.IndexOf(Weekdays, item.Trim(' '));
            if (place < 0)
                return Refuse($"'{item}' is none of {string.Join(", ", Weekdays)}; weekdays have a semicolon between them", out reason);
            days.Add((IsoDayOfWeek)(place + 1));
        }

        if (days.Count == 7)
            return Refuse("a site is open on at least one weekday", out reason);
        value = [.. days];
        reason = "";
        return true;
    }

    /// <summary><c>yes</c> or <c>no</c>.</summary>
    public static bool YesNo(string text, out bool value, out string reason)
    {
        value = text == "yes";
        reason = "";
        return value || text == "no" || Refuse("is neither yes nor no", out reason);
    }

    /// <summary>A word of an enum's closed list.</summary>
    public static bool Word<T>(string text, out T value, out string reason)
        where T : struct, Enum
    {
        reason = "";
        var known = Kebab.TryParse<T>(text, out var member);
        value = member ?? default;
        return known || Refuse($"is none of {string.Join(", ", Kebab.List<T>())}", out reason);
    }

    /// <summary>A language: <c>en</c> or <c>es</c>.</summary>
    public static bool Language(string text, out Language value, out string reason)
    {
        value = text == "es" ? Core.Ledger.Language.Spanish : Core.Ledger.Language.English;
        reason = "";
        return text is "en" or "es" || Refuse("is none of en, es", out reason);
    }

    /// <summary>A schedule of controlled substances: II to V.</summary>
    public static bool Schedule(string text, out int value, out string reason)
    {
        value = Array.IndexOf(["II", "III", "IV", "V"], text) + 2;
        reason = "";
        return value >= 2 || Refuse("is none of II, III, IV, V", out reason);
    }

    /// <summary>A unit of dosing: <c>mg</c>, <c>mcg</c> or <c>units</c>, spelt so.</summary>
    public static bool Unit(string text, out DoseUnit value, out string reason)
    {
        if (Word(text, out value, out reason))
            return true;
        if (UnitHints.TryGetValue(text, out var hint))
            return Refuse($"is none of mg, mcg, units: write {hint}", out reason);
        return Refuse("is none of mg, mcg, units", out reason);
    }

    private static int Digits(ReadOnlySpan<char> text) => int.Parse(text, NumberStyles.None, CultureInfo.InvariantCulture);

    private static string WhyNoDecimal(string text)
    {
        if (text.Any(char.IsWhiteSpace))
            return "has blanks in it: write a plain number such as 0.5";
        if (text.Contains(','))
            return "has a comma: write 0.5 with a point, and no thousands mark";
        if (text[0] is '-' or '+')
            return "has a sign: write a plain number of zero or more";
        if (TooFine().IsMatch(text))
            return "has more than 6 decimals";
        return "is no plain number such as 0.5";
    }

    private static bool Refuse(string why, out string reason)
    {
        reason = why;
        return false;
    }

    private static bool Refuse<T>(string why, [MaybeNull] out T value, out string reason)
    {
        value = default;
        reason = why;
        return false;
    }

    [GeneratedRegex("^[0-9]{1,12}([.][0-9]{1,6})?\\z", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex PlainDecimal();

    [GeneratedRegex("^[1-9][0-9]{0,2}[.][0-9]{2}0\\z", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex ReadsAsThousands();

    [GeneratedRegex("^[0-9]+[.][0-9]{7,}\\z", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex TooFine();

    [GeneratedRegex("^[0-9]{1,9}\\z", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex PlainWhole();

    [GeneratedRegex("^[0-9]{4}-[0-9]{2}-[0-9]{2}\\z", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex IsoDate();
}
