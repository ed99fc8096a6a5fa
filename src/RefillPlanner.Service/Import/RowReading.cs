using System.Diagnostics.CodeAnalysis;

namespace RefillPlanner.Service.Import;

/// <summary>Reads a field's text as a value, or says why it is none.</summary>
internal delegate bool FieldParser<T>(string text, [MaybeNullWhen(false)] out T value, out string reason);

/// <summary>One row on its way to a record. Keeps the first fault in column order; bad shape goes before any.</summary>
internal sealed class RowReading(RosterRow row)
{
    private int _place = row.BadShape is null ? int.MaxValue : -1;

    public RosterRow Row => row;

    /// <summary>The first fault in column order; null: none so far.</summary>
    public Refusal? Fault { get; private set; } = row.BadShape;

    public bool IsGood => Fault is null;

    public string this[string column] => row[column];

    public bool Has(string column) => row[column].Length > 0;

    /// <summary>Notes a fault; always false, so that a rule can end with it.</summary>
    public bool Refuse(string column, string reason)
    {
        var place = row.Schema.PlaceOf(column);
        if (place >= _place)
            return false;
        _place = place;
        Fault = row.Refuse(column, reason);
        return false;
    }

    /// <summary>A value that must be there; meaningless when the row is not good afterwards.</summary>
    public T Required<T>(string column, FieldParser<T> parse)
    {
        if (!Has(column))
            Refuse(column, "is missing");
        else if (parse(row[column], out var value, out var reason))
            return value;
        else
            Refuse(column, reason);
        return default!;
    }

    /// <summary>A value, or another one where the field is blank.</summary>
    public T Or<T>(string column, FieldParser<T> parse, T blank) => Has(column) ? Required(column, parse) : blank;

    /// <summary>A number, date or the like; null where the field is blank.</summary>
    public T? Optional<T>(string column, FieldParser<T> parse)
        where T : struct => Has(column) ? Required(column, parse) : null;

    /// <summary>A text; null where the field is blank.</summary>
    public string? OptionalText(string column, FieldParser<string> parse) => Has(column) ? Required(column, parse) : null;

    /// <summary>Refuses what stands in a column that this kind of row does not use.</summary>
    public void MustBeBlank(string column, string reason)
    {
        if (Has(column))
            Refuse(column, reason);
    }
}
