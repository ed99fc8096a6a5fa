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
    /// <summary>The most bytes that one file may hold, uncompressed: 2 GB, so that its lines can be counted in 31 bits.</summary>
    public const long LargestFile = 2048L * 1024 * 1024;

    /// <summary>The most entries that a .zip may list.</summary>
    public const int MostEntries = 1_000;

    private readonly string _path;
    private readonly bool _zipped;
    private readonly long _largestFile;
    private readonly Dictionary<string, string> _texts = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (string Place, long Length)> _files = new(StringComparer.Ordinal);
    private readonly List<Refusal> _refusals = [];

    private RosterFolder(string path, bool zipped, long largestFile)
    {
        _path = path;
        _zipped = zipped;
        _largestFile = largestFile;
    }

    /// <summary>Files refused by their name, and a .zip that cannot be read.</summary>
    public IReadOnlyList<Refusal> Refusals => _refusals;

    /// <summary>How many bytes all files have.</summary>
    public long Length => _files.Values.Sum(file => file.Length);

    /// <summary>Told how many bytes were read, whenever some were; not of looking a file through beforehand, which is quick.</summary>
    public Action<int>? OnRead { get; set; }

    /// <summary>Opens a roster.</summary>
    /// <param name="path">A folder, or a file taken for a .zip.</param>
    /// <exception cref="FileNotFoundException">Neither is there.</exception>
    public static RosterFolder Open(string path) => Open(path, LargestFile);

    /// <summary>A roster held as texts, by file name.</summary>
    public static RosterFolder Of(IReadOnlyDictionary<string, string> texts)
    {
        var folder = new RosterFolder(string.Empty, zipped: false, LargestFile);
        foreach (var (file, text) in texts)
            folder._texts.Add(file, text);
        return folder;
    }

    internal static RosterFolder Open(string path, long largestFile)
    {
        if (Directory.Exists(path))
        {
            var folder = new RosterFolder(path, zipped: false, largestFile);
            foreach (var file in Directory.EnumerateFiles(path).Order(StringComparer.Ordinal))
                folder.Take(Path.GetFileName(file), file, new FileInfo(file).Length);
            return folder;
        }

        if (!File.Exists(path))
            throw new FileNotFoundException($"There is no roster folder or .zip at '{path}'.", path);
        var archive = new RosterFolder(path, zipped: true, largestFile);
        archive.List();
        return archive;
    }

    /// <summary>Whether the roster has a file of a name.</summary>
    internal bool Has(string file) => _texts.ContainsKey(file) || _files.ContainsKey(file);

    /// <summary>The bytes of a file that the roster has. A damaged .zip is told by an <see cref="InvalidDataException"/>, here or while reading.</summary>
    /// <param name="file">Its name.</param>
    /// <param name="check">Looks at the bytes as they are read; null: nobody does.</param>
    internal RosterStream Read(string file, Utf8Check? check = null)
    {
        var tell = check is null ? OnRead : null;
        if (_texts.TryGetValue(file, out var text))
            return new RosterStream(new MemoryStream(Encoding.UTF8.GetBytes(text)), owner: null, _largestFile, file, tell, check);
        var (place, _) = _files[file];
        if (!_zipped)
            return new RosterStream(File.OpenRead(place), owner: null, _largestFile, file, tell, check);
        var archive = ZipFile.OpenRead(_path);
        try
        {
            return new RosterStream(archive.GetEntry(place)!.Open(), archive, _largestFile, file, tell, check);
        }
        catch (InvalidDataException)
        {
            archive.Dispose();
            throw;
        }
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
                Take(entry.Name, entry.FullName, entry.Length);
        }
        catch (InvalidDataException)
        {
            _refusals.Add(new Refusal(Path.GetFileName(_path), 1, "", "", "neither a folder nor a readable .zip"));
        }
    }

    private void Take(string file, string place, long length)
    {
        if (file.StartsWith('.') || file == RefusedRows.ReasonsFile || !file.EndsWith(".csv", StringComparison.OrdinalIgnoreCase))
            return;
        if (!RosterSchema.All.Any(schema => schema.File == file))
            _refusals.Add(new Refusal(file, 1, "", file, $"no roster file has this name; there are {string.Join(", ", RosterSchema.All.Select(schema => schema.File))}"));
        else if (!_files.TryAdd(file, (place, length)))
            _refusals.Add(new Refusal(file, 1, "", place, "the .zip holds two files of this name; the first was read"));
    }
}
