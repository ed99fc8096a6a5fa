using System;
using System.Collections.Generic;
using System.Linq;
using System.Text;
using CsvHelper;

namespace RefillPlanner.Service.Import;

/// <summary>One roster file read into rows: encoding, header and shape of each row are judged here, values are not.</summary>
internal sealed class RosterSheet
{
    /// <summary>The most rows that a file may hold.</summary>
    public const int MostRows = 200_000;

    /// <summary>The most bytes that a field may hold.</summary>
    public const int LargestField = 64 * 1024;

    private static readonly UTF8Encoding Strict = new(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);

    private readonly List<RosterRow> _rows = [];
    private readonly List<Refusal> _fileRefusals = [];
    private readonly List<(RosterRow Row, Refusal Refusal)> _badRows = [];

    private RosterSheet(RosterSchema schema, ReadOnlyMemory<byte> bytes)
    {
        Schema = schema;
        Bytes = bytes;
    }

    public RosterSchema Schema { get; }

    /// <summary>The file as read.</summary>
    public ReadOnlyMemory<byte> Bytes { get; }

    /// <summary>The bytes of the header row without its line break.</summary>
    public ReadOnlyMemory<byte> Header { get; private set; }

    /// <summary>Rows of good shape; none when the file is refused.</summary>
    public IReadOnlyList<RosterRow> Rows => IsRefused ? [] : _rows;

    /// <summary>Rows of bad shape; none when the file is refused.</summary>
    public IReadOnlyList<(RosterRow Row, Refusal Refusal)> BadRows => IsRefused ? [] : _badRows;

    /// <summary>Why the whole file is refused; empty: it is not.</summary>
    public IReadOnlyList<Refusal> FileRefusals => _fileRefusals;

    public bool IsRefused => _fileRefusals.Count > 0;

    /// <summary>A file that the roster does not have.</summary>
    public static RosterSheet Missing(RosterSchema schema) => new(schema, default);

    /// <summary>A file that could not be taken.</summary>
    public static RosterSheet Refused(RosterSchema schema, Refusal refusal)
    {
        var sheet = new RosterSheet(schema, default);
        sheet._fileRefusals.Add(refusal);
        return sheet;
    }

    public static RosterSheet Read(RosterSchema schema, byte[] bytes)
    {
        var sheet = new RosterSheet(schema, bytes);
        if (sheet.FindEncodingFault(bytes) is Refusal fault)
            sheet._fileRefusals.Add(fault);
        else
            sheet.ReadRows(bytes.AsMemory(bytes is [0xEF, 0xBB, 0xBF, ..] ? 3 : 0));
        return sheet;
    }

    private Refusal? FindEncodingFault(byte[] bytes)
    {
        if (bytes is [0xFF, 0xFE, ..] or [0xFE, 0xFF, ..] or [0, _, ..] or [_, 0, ..])
            return RefuseFile(1, "", "", "the file is UTF-16: save it as UTF-8");
        try
        {
            Strict.GetCharCount(bytes);
            return null;
        }
        catch (DecoderFallbackException fault)
        {
            var place = Math.Clamp(fault.Index, 0, bytes.Length - 1);
            var line = 1 + bytes.AsSpan(0, place).Count((byte)'\n');
            return RefuseFile(line, "", $"byte {bytes[place]:X2}", "the file is not UTF-8 (Windows-1252?): save it as UTF-8");
        }
    }

    private Refusal RefuseFile(int line, string column, string value, string reason) => new(Schema.File, line, column, value, reason);

    private void ReadRows(ReadOnlyMemory<byte> text)
    {
        var malformed = new Dictionary<long, CsvMalformedReason>();
        using var reader = CsvReader.Create(text, new CsvReaderOptions
        {
            Separator = ',',
            HasHeader = false,
            TrackLineNumbers = true,
            OnMalformedRecord = record => malformed.TryAdd(record.LineNumber, record.Reason),
        });
        if (!reader.Read())
        {
            _fileRefusals.Add(RefuseFile(1, "", "", "the file is empty: its first row names the columns"));
            return;
        }

        var header = new string[reader.FieldCount];
        for (var i = 0; i < header.Length; i++)
            header[i] = reader.GetString(i);
        Header = text.Slice((int)reader.ByteOffset, reader.RawRecord.Length);
        JudgeHeader(header, (int)reader.LineNumber);
        if (IsRefused)
            return;
        var places = header.Select(Schema.PlaceOf).ToArray();
        while (reader.Read())
        {
            if (_rows.Count + _badRows.Count == MostRows)
            {
                _fileRefusals.Add(RefuseFile((int)reader.LineNumber, "", "", "the file has more than 200,000 rows: split it"));
                return;
            }

            ReadRow(reader, text, header, places, malformed);
        }
    }

    private void JudgeHeader(string[] header, int line)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var column in header)
        {
            if (Schema.PlaceOf(column) < 0)
                _fileRefusals.Add(RefuseFile(line, column, column, $"{Schema.File} has no such column; it has {string.Join(", ", Schema.Columns)}"));
            else if (!seen.Add(column))
                _fileRefusals.Add(RefuseFile(line, column, column, "the column is there twice"));
        }

        foreach (var column in Schema.Required.Where(column => !seen.Contains(column)))
            _fileRefusals.Add(RefuseFile(line, column, "", "the column is missing"));
    }

    private void ReadRow(CsvReader reader, ReadOnlyMemory<byte> text, string[] header, int[] places, Dictionary<long, CsvMalformedReason> malformed)
    {
        var fields = new string[Schema.Columns.Count];
        Array.Fill(fields, "");
        var raw = text.Slice((int)reader.ByteOffset, reader.RawRecord.Length);
        var row = new RosterRow(Schema, (int)reader.LineNumber, fields, raw);
        Refusal? refusal = null;
        var first = header[0];
        if (malformed.TryGetValue(reader.LineNumber, out var reason))
        {
            refusal = row.Refuse(first, Encoding.UTF8.GetString(raw.Span[..Math.Min(raw.Length, 200)]), Say(reason));
        }
        else if (reader.FieldCount != header.Length)
        {
            var counts = $"the row has {reader.FieldCount} fields, the header has {header.Length}";
            refusal = reader.FieldCount < header.Length
                ? row.Refuse(header[reader.FieldCount], "", counts)
                : row.Refuse(header[^1], reader.GetString(header.Length), counts);
        }

        for (var i = 0; i < Math.Min(header.Length, reader.FieldCount); i++)
        {
            if (reader.GetRawSpan(i).Length > LargestField)
                refusal ??= row.Refuse(header[i], Encoding.UTF8.GetString(reader.GetRawSpan(i)[..200]), "the field is longer than 64 kB");
            else
                fields[places[i]] = reader.GetString(i);
        }

        if (refusal is null)
            _rows.Add(row);
        else
            _badRows.Add((row, refusal));
    }

    private static string Say(CsvMalformedReason reason) => reason switch
    {
        CsvMalformedReason.StrayQuote => "a quote stands inside a field that is not quoted: quote the field and double the quotes in it",
        CsvMalformedReason.TextAfterClosingQuote => "text follows a closing quote: double the quotes inside a field",
        _ => "a quote is opened and never closed",
    };
}
