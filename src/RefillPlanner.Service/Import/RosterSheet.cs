using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text;
using CsvHelper;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>
/// One roster file: read through once to see whether it must be refused as a whole, then row by row as often as it is asked for. Only
/// the row at hand is in memory. Encoding, header and shape of each row are judged here, values are not.
/// </summary>
internal sealed class RosterSheet
{
    /// <summary>The most bytes that a field may hold.</summary>
    public const int LargestField = 64 * 1024;

    /// <summary>The most bytes that a row may hold: one longer is a quote that is never closed.</summary>
    public const int LargestRow = 16 * 1024 * 1024;

    // A header of a million columns is not a million faults.
    private const int MostFileRefusals = 100;

    private readonly RosterFolder _folder;
    private readonly List<Refusal> _fileRefusals = [];
    private string[] _header = [];
    private int[] _places = [];

    private RosterSheet(RosterSchema schema, RosterFolder folder)
    {
        Schema = schema;
        _folder = folder;
    }

    public RosterSchema Schema { get; }

    /// <summary>Whether there is a file, not empty, all of which can be read, refused or not.</summary>
    public bool HasBytes { get; private set; }

    /// <summary>The bytes of the header row without its line break.</summary>
    public byte[] Header { get; private set; } = [];

    /// <summary>Why the whole file is refused; empty: it is not.</summary>
    public IReadOnlyList<Refusal> FileRefusals => _fileRefusals;

    public bool IsRefused => _fileRefusals.Count > 0;

    /// <summary>Reads a file of a roster through; one that the roster does not have is a sheet without rows.</summary>
    public static RosterSheet Open(RosterSchema schema, RosterFolder folder)
    {
        var sheet = new RosterSheet(schema, folder);
        if (folder.Has(schema.File))
            sheet.ReadThrough();
        return sheet;
    }

    /// <summary>The rows in order, those of bad shape too; none when the file is refused.</summary>
    public IEnumerable<RosterRow> Read()
    {
        if (!HasBytes || IsRefused)
            yield break;
        var malformed = new Dictionary<long, CsvMalformedReason>();
        using var reader = CsvReader.Create(ReadBytes(), Options(malformed));
        reader.Read();
        while (reader.Read())
            yield return ReadRow(reader, (int)reader.LineNumber, malformed);
    }

    /// <summary>A row of this file that was kept.</summary>
    public RosterRow Reread(KeptRow kept)
    {
        // An empty line is passed over, and a byte order mark at the start of a row stays in it.
        var malformed = new Dictionary<long, CsvMalformedReason>();
        using var reader = CsvReader.Create((byte[])[(byte)'\n', .. kept.Bytes], Options(malformed));
        reader.Read();
        return ReadRow(reader, kept.Line, malformed);
    }

    /// <summary>The file as it is.</summary>
    public Stream ReadBytes() => _folder.Read(Schema.File);

    private static CsvReaderOptions Options(Dictionary<long, CsvMalformedReason> malformed) => new()
    {
        Separator = ',',
        HasHeader = false,
        TrackLineNumbers = true,
        MaxRecordSize = LargestRow,
        OnMalformedRecord = record => malformed.TryAdd(record.LineNumber, record.Reason),
    };

    private void ReadThrough()
    {
        try
        {
            using var bytes = _folder.Read(Schema.File, new Utf8Check(Schema.File));
            using var reader = CsvReader.Create(bytes, Options([]) with { OnMalformedRecord = null });
            if (reader.Read())
                ReadHeader(reader);
            else
                Refuse(1, "", "", "the file is empty: its first row names the columns");
            while (reader.Read())
            {
            }

            HasBytes = bytes.Position > 0;
        }
        catch (UnreadableFileException unreadable)
        {
            RefuseWhole(unreadable.Refusal, unreadable.IsWhole);
        }
        catch (CsvFormatException tooLong)
        {
            RefuseWhole(new Refusal(Schema.File, (int)tooLong.LineNumber, "", "", "the row is longer than 16 MB: a quote is opened and never closed"), isWhole: true);
        }
        catch (InvalidDataException)
        {
            RefuseWhole(new Refusal(Schema.File, 1, "", "", "the .zip is damaged here"), isWhole: false);
        }
    }

    private void ReadHeader(CsvReader reader)
    {
        Header = reader.RawRecord.ToArray();
        _header = new string[reader.FieldCount];
        for (var i = 0; i < _header.Length; i++)
            _header[i] = reader.GetString(i);
        _places = [.. _header.Select(Schema.PlaceOf)];
        JudgeHeader((int)reader.LineNumber);
    }

    private void JudgeHeader(int line)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var column in _header)
        {
            if (Schema.PlaceOf(column) < 0)
                Refuse(line, column, column, $"{Schema.File} has no such column; it has {string.Join(", ", Schema.Columns)}");
            else if (!seen.Add(column))
                Refuse(line, column, column, "the column is there twice");
            if (_fileRefusals.Count == MostFileRefusals)
                return;
        }

        foreach (var column in Schema.Required.Where(column => !seen.Contains(column)))
            Refuse(line, column, "", "the column is missing");
    }

    private void Refuse(int line, string column, string value, string reason) => _fileRefusals.Add(new Refusal(Schema.File, line, column, value, reason));

    private void RefuseWhole(Refusal refusal, bool isWhole)
    {
        _fileRefusals.Clear();
        _fileRefusals.Add(refusal);
        HasBytes = isWhole;
    }

    private RosterRow ReadRow(CsvReader reader, int line, Dictionary<long, CsvMalformedReason> malformed)
    {
        var fields = new string[Schema.Columns.Count];
        Array.Fill(fields, "");
        var bytes = reader.RawRecord.ToArray();
        var row = new RosterRow(Schema, line, fields, bytes);
        var first = _header[0];
        if (malformed.Remove(reader.LineNumber, out var reason))
        {
            row.BadShape = row.Refuse(first, Encoding.UTF8.GetString(bytes, 0, Math.Min(bytes.Length, 200)), Say(reason));
        }
        else if (reader.FieldCount != _header.Length)
        {
            var counts = $"the row has {reader.FieldCount} fields, the header has {_header.Length}";
            row.BadShape = reader.FieldCount < _header.Length
                ? row.Refuse(_header[reader.FieldCount], "", counts)
                : row.Refuse(_header[^1], reader.GetString(_header.Length), counts);
        }

        for (var i = 0; i < Math.Min(_header.Length, reader.FieldCount); i++)
        {
            if (reader.GetRawSpan(i).Length > LargestField)
                row.BadShape ??= row.Refuse(_header[i], Encoding.UTF8.GetString(reader.GetRawSpan(i)[..200]), "the field is longer than 64 kB");
            else
                fields[_places[i]] = reader.GetString(i);
        }

        return row;
    }

    private static string Say(CsvMalformedReason reason) => reason switch
    {
        CsvMalformedReason.StrayQuote => "a quote stands inside a field that is not quoted: quote the field and double the quotes in it",
        CsvMalformedReason.TextAfterClosingQuote => "text follows a closing quote: double the quotes inside a field",
        _ => "a quote is opened and never closed",
    };
}
