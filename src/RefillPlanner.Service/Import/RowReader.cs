using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using MimeKit;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>
/// Reads the fields of one row into values. The first fault is kept, with place and reason; after it the values given are of no meaning and
/// the row is refused.
/// </summary>
/// <param name="row">The row.</param>
internal sealed class RowReader(RosterRow row)
{
    private const int LongestId = 64;
    private static readonly LocalDate Earliest = new(1900, 1, 1);
    private static readonly LocalDate Latest = new(2199, 12, 31);

    /// <summary>The row.</summary>
    public RosterRow Row => row;

    /// <summary>The first fault; null: none so far.</summary>
    public Refusal? Fault { get; private set; }

    /// <summary>Keeps a fault, unless there is one already.</summary>
    public void Refuse(string column, string reason) => Fault ??= new Refusal(row.File, row.Line, column, Field(column), reason);

    /// <summary>Refuses the row when a condition holds.</summary>
    public void RefuseIf(bool condition, string column, string reason)
    {
        if (condition)
            Refuse(column, reason);
    }

    /// <summary>Whether a field is filled in.</summary>
    public bool Has(string column) => Field(column).Length > 0;

    /// <summary>A text without control characters; null when empty.</summary>
    public string? Text(string column)
    {
        var text = Field(column);
        RefuseIf(Printable.HasForbidden(text), column, "holds control or invisible characters");
        return text.Length == 0 ? null : text;
    }

    /// <summary>A text that must be there.</summary>
    public string RequiredText(string column)
    {
        var text = Text(column);
        RefuseIf(string.IsNullOrWhiteSpace(text), column, "required");
        return text ?? string.Empty;
    }

    /// <summary>An id; null when empty.</summary>
    public string? Id(string column)
    {
        var id = Text(column);
        if (id is null)
            return null;
        RefuseIf(id.Length > LongestId, column, "longer than 64 characters");
        RefuseIf(id.Contains('/', StringComparison.Ordinal) || id.Trim() != id, column, "an id has no slash, and no blank at its ends");
        return id;
    }

    /// <summary>An id that must be there.</summary>
    public string RequiredId(string column)
    {
        var id = Id(column);
        RefuseIf(id is null, column, "required");
        return id ?? string.Empty;
    }

    /// <summary>A date; null when empty.</summary>
    public LocalDate? Date(string column)
    {
        var text = Field(column);
        if (text.Length == 0)
            return null;
        var parsed = LocalDatePattern.Iso.Parse(text);
        if (!parsed.Success || text.Length != 10)
        {
            Refuse(column, "no date that exists, written as 2026-03-02");
            return null;
        }

        RefuseIf(parsed.Value < Earliest || parsed.Value > Latest, column, "dates lie between 1900-01-01 and 2199-12-31");
        return parsed.Value;
    }

    /// <summary>A date that must be there.</summary>
    public LocalDate RequiredDate(string column)
    {
        RefuseIf(!Has(column), column, "required");
        return Date(column) ?? Earliest;
    }

    /// <summary>Dates separated by semicolons.</summary>
    public IReadOnlyList<LocalDate> Dates(string column)
    {
        var dates = new List<LocalDate>();
        foreach (var text in Field(column).Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            var parsed = LocalDatePattern.Iso.Parse(text);
            if (!parsed.Success)
            {
                Refuse(column, $"\"{Printable.Of(text)}\" is no date that exists, written as 2026-03-02");
                return [];
            }

            dates.Add(parsed.Value);
        }

        return dates;
    }

    /// <summary>A whole number within a range, both ends included; null when empty.</summary>
    public int? Whole(string column, int lowest, int highest)
    {
        var text = Field(column);
        if (text.Length == 0)
            return null;
        if (text.All(char.IsAsciiDigit) && int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var value) && value >= lowest && value <= highest)
            return value;
        Refuse(column, $"a whole number from {lowest} to {highest.ToString("N0", CultureInfo.InvariantCulture)} is wanted");
        return null;
    }

    /// <summary>A whole number that must be there.</summary>
    public int RequiredWhole(string column, int lowest, int highest)
    {
        RefuseIf(!Has(column), column, "required");
        return Whole(column, lowest, highest) ?? lowest;
    }

    /// <summary>A volume in mL; null when empty.</summary>
    public Volume? Volume(string column, bool mayBeZero) =>
        Number(column, Field(column), mayBeZero, Core.Ledger.Volume.Largest.Ml) is decimal ml ? Core.Ledger.Volume.FromMl(ml) : null;

    /// <summary>A volume in mL that must be there, above zero.</summary>
    public Volume RequiredVolume(string column)
    {
        RefuseIf(!Has(column), column, "required");
        return Volume(column, mayBeZero: false) ?? new Volume(1);
    }

    /// <summary>An amount in the product's unit, above zero; null when empty.</summary>
    public Amount? Amount(string column) =>
        Number(column, Field(column), mayBeZero: false, Core.Ledger.Amount.Largest.Value) is decimal value ? Core.Ledger.Amount.From(value) : null;

    /// <summary>The doses of a day: amounts separated by semicolons, in the product's unit or with a unit of their own.</summary>
    public IReadOnlyList<Amount> Doses(string column, DoseUnit unit)
    {
        var doses = new List<Amount>();
        foreach (var text in Field(column).Split(';', StringSplitOptions.TrimEntries))
        {
            if (Dose(column, text, unit) is not Amount dose)
                return [];
            doses.Add(dose);
        }

        return doses;
    }

    /// <summary>A member of a closed list by its written name; null when empty.</summary>
    public T? Member<T>(string column)
        where T : struct, Enum
    {
        var text = Field(column);
        if (text.Length == 0)
            return null;
        if (Kebab.TryParse<T>(text, out var value))
            return value;
        Refuse(column, Hint(text) ?? $"one of {string.Join(", ", Kebab.List<T>())} is wanted");
        return null;
    }

    /// <summary>A member of a closed list that must be there.</summary>
    public T RequiredMember<T>(string column)
        where T : struct, Enum
    {
        RefuseIf(!Has(column), column, "required");
        return Member<T>(column) ?? default;
    }

    /// <summary>One of some words; null when empty.</summary>
    public string? Word(string column, params string[] words)
    {
        var text = Field(column);
        if (text.Length == 0)
            return null;
        RefuseIf(!words.Contains(text, StringComparer.Ordinal), column, $"one of {string.Join(", ", words)} is wanted");
        return text;
    }

    /// <summary>Yes or no; null when empty.</summary>
    public bool? YesNo(string column) => Word(column, "yes", "no") is string word ? word == "yes" : null;

    /// <summary>An e-mail address that a mail server will take; null when empty.</summary>
    public string? Email(string column)
    {
        var text = Text(column);
        if (text is null)
            return null;
        var fits = MailboxAddress.TryParse(text, out var mailbox) && mailbox.Address == text && text.All(char.IsAscii)
            && text.Count(letter => letter == '@') == 1 && !text.Contains('"', StringComparison.Ordinal) && !text.StartsWith('@') && !text.EndsWith('@');
        RefuseIf(!fits, column, "no e-mail address such as name@example.org");
        return text;
    }

    /// <summary>A time zone of the tz database; null when empty.</summary>
    public string? Zone(string column)
    {
        var text = Text(column);
        RefuseIf(text is not null && DateTimeZoneProviders.Tzdb.GetZoneOrNull(text) is null, column, "no time zone of the tz database, such as America/Denver");
        return text;
    }

    private string Field(string column) => row.Fields.TryGetValue(column, out var text) ? text : string.Empty;

    // A decimal written plainly: digits, at most one point, at most six decimals.
    private decimal? Number(string column, string text, bool mayBeZero, decimal largest)
    {
        if (text.Length == 0)
            return null;
        var reason = FindNumberFault(text);
        if (reason is null && decimal.TryParse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var value))
        {
            if (value == 0 && !mayBeZero)
                reason = "zero, and more is wanted";
            else if (value > largest)
                reason = $"more than {largest.ToString("N0", CultureInfo.InvariantCulture)}";
            else
                return value;
        }

        Refuse(column, reason ?? "no number");
        return null;
    }

    private static string? FindNumberFault(string text)
    {
        if (text.StartsWith('-'))
            return "negative";
        if (text.Contains(',', StringComparison.Ordinal))
            return "a comma: the decimal point is \".\", and thousands are not marked";
        if (Hint(text) is string hint)
            return hint;
        if (!text.All(letter => char.IsAsciiDigit(letter) || letter == '.') || text.Count(letter => letter == '.') > 1 || !char.IsAsciiDigit(text[0]) || !char.IsAsciiDigit(text[^1]))
            return "no plain number such as 0.25";
        var point = text.IndexOf('.', StringComparison.Ordinal);
        if (point >= 0 && text.Length - point - 1 > 6)
            return "more than 6 decimals";
        return text.Length > 20 ? "absurdly long" : null;
    }

    private Amount? Dose(string column, string text, DoseUnit unit)
    {
        var parts = text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        if (parts.Length is 0 or > 2)
        {
            Refuse(column, "doses such as 0.25 or 0.25 mg are wanted, separated by semicolons");
            return null;
        }

        if (Number(column, parts[0], mayBeZero: false, Core.Ledger.Amount.Largest.Value) is not decimal value)
            return null;
        if (parts.Length == 1)
            return Core.Ledger.Amount.From(value);
        if (!Kebab.TryParse<DoseUnit>(parts[1], out var given))
        {
            Refuse(column, Hint(parts[1]) ?? $"unknown unit; one of {string.Join(", ", Kebab.List<DoseUnit>())} is wanted");
            return null;
        }

        if ((given == DoseUnit.Units) != (unit == DoseUnit.Units))
        {
            Refuse(column, $"{Kebab.Of(given.Value)} and {Kebab.Of(unit)} do not convert into each other");
            return null;
        }

        var converted = (given, unit) switch
        {
            (DoseUnit.Mcg, DoseUnit.Mg) => value / 1000,
            (DoseUnit.Mg, DoseUnit.Mcg) => value * 1000,
            _ => value,
        };
        if (converted <= Core.Ledger.Amount.Largest.Value)
            return Core.Ledger.Amount.From(converted);
        Refuse(column, "more than 1,000,000");
        return null;
    }

    // The right word for the error-prone ones.
    private static string? Hint(string text)
    {
        var word = text.TrimStart("0123456789. ".ToCharArray());
        return word switch
        {
            "U" or "u" or "IU" or "iu" or "I.U." or "UI" or "unit" => "error-prone abbreviation: write units",
            "µg" or "μg" or "ug" or "MCG" or "Mcg" => "error-prone abbreviation: write mcg",
            "MG" or "Mg" => "write mg",
            "cc" or "ml" or "mL" or "ML" => "a volume where an amount of drug is wanted: write mg, mcg or units",
            "g" or "kg" or "ng" => "unknown unit; one of mg, mcg, units is wanted",
            _ => null,
        };
    }
}
