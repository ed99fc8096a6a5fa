using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using CsvHelper;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Demo;

/// <summary>One file of the demo roster: named columns, and rows whose cells are given by name.</summary>
/// <param name="columns">The file's columns in order, comma between.</param>
internal sealed class DemoTable(string columns)
{
    private readonly string[] _columns = columns.Split(',');
    private readonly List<string[]> _rows = [];

    /// <summary>Adds a row. A cell that is not named, or is null, stays empty.</summary>
    /// <exception cref="ArgumentException">A cell names a column that the file does not have.</exception>
    public void Add(params ReadOnlySpan<(string Column, object? Value)> cells)
    {
        var row = new string[_columns.Length];
        Array.Fill(row, "");
        foreach (var (column, value) in cells)
        {
            var place = Array.IndexOf(_columns, column);
            if (place < 0)
                throw new ArgumentException($"There is no column {column}.", nameof(cells));
            row[place] = Write(value);
        }

        _rows.Add(row);
    }

    /// <summary>The whole file as RFC 4180 text with a header row.</summary>
    public override string ToString()
    {
        using var text = new StringWriter(CultureInfo.InvariantCulture);
        using (var csv = CsvWriter.Create(text, new CsvWriterOptions()))
        {
            csv.WriteRecord(_columns);
            foreach (var row in _rows)
                csv.WriteRecord(row);
        }

        return text.ToString();
    }

    private static string Write(object? value) => value switch
    {
        null => "",
        string text => text,
        bool flag => flag ? "yes" : "no",
        int number => number.ToString(CultureInfo.InvariantCulture),
        decimal number => Exact.Plain(number),
        LocalDate date => LocalDatePattern.Iso.Format(date),
        _ => throw new ArgumentException($"A cell cannot hold a {value.GetType().Name}.", nameof(value)),
    };
}
