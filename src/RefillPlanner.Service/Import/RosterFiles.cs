using System;
using System.Collections.Generic;
using System.IO;
using System.IO.Compression;
using System.Linq;
using System.Text;

namespace RefillPlanner.Service.Import;

/// <summary>The texts of a roster: a folder, or a zip of one, with any of the nine files.</summary>
public static class RosterFiles
{
    /// <summary>The largest file taken, unpacked.</summary>
    public const int LargestBytes = 50 * 1024 * 1024;

    /// <summary>The files of a roster in the order in which they are read: each refers only to those before it.</summary>
    public static readonly IReadOnlyList<string> Names =
        ["sites.csv", "patients.csv", "products.csv", "devices.csv", "courses.csv", "steps.csv", "prescriptions.csv", "facts.csv", "sharps.csv"];

    /// <summary>The texts by file name. What cannot be read as UTF-8, is too large or has an unknown name is refused.</summary>
    /// <exception cref="FileNotFoundException">There is no such folder or zip.</exception>
    public static IReadOnlyDictionary<string, string> Read(string path, ICollection<Refusal> refusals)
    {
        var texts = new Dictionary<string, string>(StringComparer.Ordinal);
        if (Directory.Exists(path))
        {
            foreach (var file in Directory.EnumerateFiles(path).Order(StringComparer.Ordinal))
                Add(Path.GetFileName(file), () => File.OpenRead(file), texts, refusals);
        }
        else if (File.Exists(path))
        {
            using var zip = ZipFile.OpenRead(path);
            foreach (var entry in zip.Entries.Where(entry => entry.Name.Length > 0).OrderBy(entry => entry.FullName, StringComparer.Ordinal))
                Add(entry.Name, entry.Open, texts, refusals);
        }
        else
        {
            throw new FileNotFoundException($"There is no folder or zip \"{path}\".", path);
        }

        return texts;
    }

    private static void Add(string name, Func<Stream> open, Dictionary<string, string> texts, ICollection<Refusal> refusals)
    {
        if (!name.EndsWith(".csv", StringComparison.OrdinalIgnoreCase))
            return;
        if (!Names.Contains(name, StringComparer.Ordinal))
        {
            refusals.Add(new Refusal(name, 1, string.Empty, string.Empty, $"no file of a roster; known are {string.Join(", ", Names)}"));
            return;
        }

        using var stream = open();
        if (ReadBounded(stream) is not byte[] bytes)
            refusals.Add(new Refusal(name, 1, string.Empty, string.Empty, "larger than 50 MB"));
        else if (texts.ContainsKey(name))
            refusals.Add(new Refusal(name, 1, string.Empty, string.Empty, "stands in the zip twice"));
        else if (Decode(bytes, out var reason) is string text)
            texts.Add(name, text);
        else
            refusals.Add(new Refusal(name, 1, string.Empty, string.Empty, reason));
    }

    // What is really read counts, not what a zip says of itself. Null: more than is taken.
    private static byte[]? ReadBounded(Stream stream)
    {
        using var bytes = new MemoryStream();
        var buffer = new byte[81920];
        for (int read; (read = stream.Read(buffer)) > 0;)
        {
            if (bytes.Length + read > LargestBytes)
                return null;
            bytes.Write(buffer.AsSpan(0, read));
        }

        return bytes.ToArray();
    }

    private static string? Decode(byte[] bytes, out string reason)
    {
        reason = "not UTF-8 (it may have been saved as Windows-1252): save it as UTF-8";
        if (bytes is [0xFF, 0xFE, ..] or [0xFE, 0xFF, ..])
        {
            reason = "UTF-16: save it as UTF-8";
            return null;
        }

        var start = bytes is [0xEF, 0xBB, 0xBF, ..] ? 3 : 0;
        try
        {
            return new UTF8Encoding(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true).GetString(bytes.AsSpan(start));
        }
        catch (DecoderFallbackException)
        {
            return null;
        }
    }
}
