using System.Collections.Generic;
using System.IO;
using System.Linq;
using CsvHelper;
using Xunit;

namespace RefillPlanner.Service.Tests.Demo;

/// <summary>A roster's files read back as rows of cells by column; empty cells are left out.</summary>
internal sealed class RosterText
{
    private readonly Dictionary<string, string[]> _headers = [];
    private readonly Dictionary<string, List<IReadOnlyDictionary<string, string>>> _rows = [];

    public RosterText(IReadOnlyDictionary<string, string> files)
    {
        foreach (var (file, text) in files)
            Read(file, text);
    }

    public IEnumerable<string> Files => _headers.Keys;

    public string[] Header(string file) => _headers[file];

    public IReadOnlyList<IReadOnlyDictionary<string, string>> Rows(string file) => _rows[file];

    private void Read(string file, string text)
    {
        using var reader = CsvReader.Create(new StringReader(text), new CsvReaderOptions { HasHeader = false });
        Assert.True(reader.Read());
        _headers[file] = [.. Cells(reader)];
        _rows[file] = [];
        while (reader.Read())
        {
            var cells = Cells(reader).ToList();
            Assert.Equal(_headers[file].Length, cells.Count);
            _rows[file].Add(_headers[file].Zip(cells).Where(pair => pair.Second.Length > 0).ToDictionary(pair => pair.First, pair => pair.Second));
        }
    }

    private static IEnumerable<string> Cells(CsvReader reader)
    {
        for (var i = 0; i < reader.FieldCount; i++)
            yield return reader.GetString(i);
    }
}
