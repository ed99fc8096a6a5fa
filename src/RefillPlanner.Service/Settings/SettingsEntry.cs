using System;
using System.Collections.Generic;
using System.Linq;
using System.Text;
using System.Text.Json;

namespace RefillPlanner.Service.Settings;

/// <summary>A value of the configuration file.</summary>
/// <param name="Path">The names of the sections around it, and its own.</param>
/// <param name="Value">The value as text; lists are joined by semicolons.</param>
/// <param name="Line">Its line.</param>
internal sealed record SettingsEntry(string[] Path, string Value, int Line)
{
    private const int MostDepth = 8;

    /// <summary>Sections and names, joined by points.</summary>
    public string Name => string.Join('.', Path);

    /// <summary>Every value of a file, in order.</summary>
    /// <param name="bytes">The file; a byte order mark is passed over, comments and trailing commas may stand in it.</param>
    /// <param name="name">The file's name.</param>
    /// <param name="faults">Where keys that are said twice, and values of a kind that no key takes, are added.</param>
    /// <exception cref="JsonException">It is no JSON.</exception>
    public static List<SettingsEntry> List(byte[] bytes, string name, List<SettingsFault> faults)
    {
        ReadOnlySpan<byte> text = bytes;
        if (text.StartsWith(Encoding.UTF8.Preamble))
            text = text[Encoding.UTF8.Preamble.Length..];
        var reader = new Utf8JsonReader(text, new JsonReaderOptions { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true, MaxDepth = MostDepth });
        var reading = new Reading(text, name, faults);
        reader.Read();
        if (reader.TokenType == JsonTokenType.StartObject)
            reading.ReadSection(ref reader, []);
        else
            faults.Add(new SettingsFault(name, reading.Line(ref reader), "the file is to be one JSON object: { \"mail\": { ... }, \"policy\": { ... } }"));
        reader.Read(); // What follows the object is no JSON.
        return reading.Entries;
    }

    private readonly ref struct Reading(ReadOnlySpan<byte> text, string name, List<SettingsFault> faults)
    {
        private readonly ReadOnlySpan<byte> _text = text;

        public List<SettingsEntry> Entries { get; } = [];

        public int Line(ref Utf8JsonReader reader) => _text[..(int)reader.TokenStartIndex].Count((byte)'\n') + 1;

        public void ReadSection(ref Utf8JsonReader reader, string[] path)
        {
            var lines = new Dictionary<string, int>(StringComparer.Ordinal);
            while (reader.Read() && reader.TokenType == JsonTokenType.PropertyName)
            {
                string[] inner = [.. path, reader.GetString()!];
                var line = Line(ref reader);
                if (!lines.TryAdd(inner[^1], line))
                    faults.Add(new SettingsFault(name, line, $"{string.Join('.', inner)} is said twice, first in line {lines[inner[^1]]}; leave one out"));
                reader.Read();
                ReadValue(ref reader, inner, line);
            }
        }

        private void ReadValue(ref Utf8JsonReader reader, string[] path, int line)
        {
            switch (reader.TokenType)
            {
                case JsonTokenType.StartObject:
                    ReadSection(ref reader, path);
                    break;
                case JsonTokenType.StartArray:
                    Entries.Add(new SettingsEntry(path, ReadList(ref reader, path), line));
                    break;
                case JsonTokenType.Null:
                    faults.Add(new SettingsFault(name, line, $"{string.Join('.', path)} has no value; leave the key out"));
                    break;
                default:
                    Entries.Add(new SettingsEntry(path, Text(ref reader), line));
                    break;
            }
        }

        private string ReadList(ref Utf8JsonReader reader, string[] path)
        {
            var words = new List<string>();
            while (reader.Read() && reader.TokenType != JsonTokenType.EndArray)
            {
                if (reader.TokenType is JsonTokenType.StartArray or JsonTokenType.StartObject or JsonTokenType.Null)
                {
                    faults.Add(new SettingsFault(name, Line(ref reader), $"{string.Join('.', path)}: a list holds words only"));
                    reader.Skip();
                }
                else
                {
                    words.Add(Text(ref reader));
                }
            }

            return string.Join(';', words);
        }

        private static string Text(ref Utf8JsonReader reader) => reader.TokenType switch
        {
            JsonTokenType.String => reader.GetString()!,
            JsonTokenType.True => "yes",
            JsonTokenType.False => "no",
            _ => Encoding.UTF8.GetString(reader.ValueSpan),
        };
    }
}
