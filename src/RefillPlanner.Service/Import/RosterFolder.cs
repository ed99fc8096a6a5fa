using System;
using System.Collections.Generic;
using System.IO;
using System.IO.Compression;
using System.Linq;
using System.Text;

namespace RefillPlanner.Service.Import;

/// <summary>A folder of roster files, a .zip of one, or the same as texts. Nothing is unpacked to disk; bytes are counted as they are read.</summary>
public sealed class RosterFolder
{
    /// <summary>The most that one file may hold, uncompressed.</summary>
    public const int LargestFile = 50 * 1024 * 1024;

    /// <summary>The most entries that a .zip may list.</summary>
    public const int MostEntries = 1_000;

    private readonly string _path;
    private readonly bool _zipped;
    private readonly IReadOnlyDictionary<string, string> _texts = new Dictionary<string, string>();
    private readonly Dictionary<string, string> _files = new(StringComparer.Ordinal);
    private readonly List<Refusal> _refusals = [];

    private RosterFolder(string path, bool zipped)
    {
        _path = path;
        _zipped = zipped;
    }

    private RosterFolder(IReadOnlyDictionary<string, string> texts)
        : this(string.Empty, zipped: false) => _texts = texts;

    /// <summary>Files refused by their name, and a .zip that cannot be read.</summary>
    public IReadOnlyList<Refusal> Refusals => _refusals;

    /// <summary>Opens a roster.</summary>
    /// <param name="path">A folder, or a file taken for a .zip.</param>
    /// <exception cref="FileNotFoundException">Neither is there.</exception>
    public static RosterFolder Open(string path)
    {
        if (Directory.Exists(path))
        {
            var folder = new RosterFolder(path, zipped: false);
            foreach (var file in Directory.EnumerateFiles(path).Order(StringComparer.Ordinal))
                folder.Take(Path.GetFileName(file), file);
            return folder;
        }

        if (!File.Exists(path))
            throw new FileNotFoundException($"There is no roster folder or .zip at '{path}'.", path);
        var archive = new RosterFolder(path, zipped: true);
        archive.List();
        return archive;
    }

    /// <summary>A roster held as texts, by file name.</summary>
    public static RosterFolder Of(IReadOnlyDictionary<string, string> texts) => new(texts);

    /// <summary>The bytes of a file; null when the roster has none of that name, or when it cannot be taken: then with a refusal.</summary>
    internal byte[]? FindBytes(string file, out Refusal? refusal)
    {
        refusal = null;
        if (_texts.TryGetValue(file, out var text))
            return Encoding.UTF8.GetBytes(text);
        if (!_files.TryGetValue(file, out var place))
            return null;
        try
        {
            if (!_zipped)
            {
                using var plain = File.OpenRead(place);
                return ReadAll(plain, file, out refusal);
            }

            using var archive = ZipFile.OpenRead(_path);
            using var entry = archive.GetEntry(place)!.Open();
            return ReadAll(entry, file, out refusal);
        }
        catch (InvalidDataException)
        {
            refusal = new Refusal(file, 1, "", "", "the .zip is damaged here");
            return null;
        }
    }

    private static byte[]? ReadAll(Stream stream, string file, out Refusal? refusal)
    {
        refusal = null;
        using var bytes = new MemoryStream();
        var buffer = new byte[81920];
        for (int read; (read = stream.Read(buffer, 0, buffer.Length)) > 0;)
        {
            if (bytes.Length + read > LargestFile)
            {
                refusal = new Refusal(file, 1, "", "", "the file is larger than 50 MB: split it");
                return null;
            }

            bytes.Write(buffer, 0, read);
        }

        return bytes.ToArray();
    }

    private void List()
    {
        try
        {
            using var archive = ZipFile.OpenRead(_path);
            if (archive.Entries.Count > MostEntries)
            {
                _refusals.Add(new Refusal(Path.GetFileName(_path), 1, "", "", "the .zip lists more than 1,000 entries"));
                return;
            }

            foreach (var entry in archive.Entries.Where(entry => entry.Name.Length > 0).OrderBy(entry => entry.FullName, StringComparer.Ordinal))
                Take(entry.Name, entry.FullName);
        }
        catch (InvalidDataException)
        {
            _refusals.Add(new Refusal(Path.GetFileName(_path), 1, "", "", "neither a folder nor a readable .zip"));
        }
    }

    private void Take(string file, string place)
    {
        if (file.StartsWith('.') || file == RefusedRows.ReasonsFile || !file.EndsWith(".csv", StringComparison.OrdinalIgnoreCase))
            return;
        if (!RosterSchema.All.Any(schema => schema.File == file))
            _refusals.Add(new Refusal(file, 1, "", file, $"no roster file has this name; there are {string.Join(", ", RosterSchema.All.Select(schema => schema.File))}"));
        else if (!_files.TryAdd(file, place))
            _refusals.Add(new Refusal(file, 1, "", place, "the .zip holds two files of this name; the first was read"));
    }
}
