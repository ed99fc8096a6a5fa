using System;

namespace RefillPlanner.Service.Import;

/// <summary>One row as read: its fields by column, the line on which it starts, and its bytes.</summary>
internal sealed class RosterRow(RosterSchema schema, int line, string[] fields, byte[] bytes)
{
    public RosterSchema Schema => schema;

    public int Line => line;

    /// <summary>The bytes of the row without its line break.</summary>
    public byte[] Bytes => bytes;

    /// <summary>The writer's id of the row, from the first column.</summary>
    public string Id => fields[0];

    /// <summary>Why the row is no row of its file, whatever its values are; null: it is.</summary>
    public Refusal? BadShape { get; set; }

    /// <summary>The field of a column; empty when it is blank or the header has no such column.</summary>
    public string this[string column] => fields[schema.PlaceOf(column)];

    /// <summary>A refusal of this row.</summary>
    public Refusal Refuse(string column, string reason) => Refuse(column, this[column], reason);

    /// <summary>A refusal of this row for a value that stands in no column of it.</summary>
    public Refusal Refuse(string column, string value, string reason) =>
        new(schema.File, line, column, value.Length > 200 ? string.Concat(value.AsSpan(0, 200), "...") : value, reason);
}
