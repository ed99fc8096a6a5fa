using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text.Json;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Settings;

/// <summary>
/// Reads the configuration file: JSON with comments, the sections <c>mail</c>, <c>policy</c>, and <c>sites</c> with a section of policy keys for
/// a site, and <c>templates</c>, the folder of the pharmacy's own templates. Every fault is named with its line and the nearest key that exists.
/// </summary>
public static class SettingsFile
{
    private static readonly string[] Sections = ["mail", "policy", "sites", "templates"];

    /// <summary>Reads a file; null: no file, all defaults.</summary>
    /// <returns>The settings, and what is wrong; when anything is, the settings are of no meaning.</returns>
    public static (PlannerSettings Settings, IReadOnlyList<SettingsFault> Faults) Read(string? file)
    {
        if (file is null)
            return (new PlannerSettings(), []);
        if (!File.Exists(file))
            return (new PlannerSettings(), [new SettingsFault(file, 0, "there is no such file")]);
        var (settings, faults) = Parse(Path.GetFileName(file), File.ReadAllBytes(file));
        return faults.Count > 0 ? (settings, faults) : WithTemplates(settings, file);
    }

    // The folder named, or the folder "templates" beside the file; from the file's own folder.
    private static (PlannerSettings Settings, IReadOnlyList<SettingsFault> Faults) WithTemplates(PlannerSettings settings, string file)
    {
        var folder = Path.GetFullPath(settings.TemplatesFolder ?? "templates", Path.GetDirectoryName(Path.GetFullPath(file))!);
        if (!Directory.Exists(folder))
            return settings.TemplatesFolder is null ? (settings, []) : (settings, [new SettingsFault(Path.GetFileName(file), 0, $"templates: there is no folder {folder}")]);
        return (settings with { TemplatesFolder = folder }, OwnTemplates.ListFaults(folder));
    }

    /// <summary>Reads the bytes of a file.</summary>
    public static (PlannerSettings Settings, IReadOnlyList<SettingsFault> Faults) Parse(string name, byte[] bytes)
    {
        var faults = new List<SettingsFault>();
        List<Entry> entries;
        try
        {
            entries = ListEntries(bytes);
        }
        catch (JsonException broken)
        {
            return (new PlannerSettings(), [new SettingsFault(name, (int)(broken.LineNumber ?? 0) + 1, "no valid JSON: " + broken.Message.Split(". LineNumber", StringSplitOptions.None)[0])]);
        }

        var mail = new MailSettings();
        var policy = Policy.Default;
        var sites = new Dictionary<string, Policy>();
        foreach (var entry in entries.Where(entry => entry.Path is ["mail", _]))
            mail = Read(entry, MailKeys.All, key => key.Read(mail, entry.Value), key => key.Explain(entry.Value), mail, name, faults);
        foreach (var entry in entries.Where(entry => entry.Path is ["policy", _]))
            policy = Read(entry, PolicyKeys.All, key => key.Read(policy, entry.Value), key => key.Range, policy, name, faults);
        foreach (var entry in entries.Where(entry => entry.Path is ["sites", _, _]))
        {
            var site = sites.GetValueOrDefault(entry.Path[1]) ?? policy;
            sites[entry.Path[1]] = Read(entry, PolicyKeys.All, key => key.Read(site, entry.Value), key => key.Range, site, name, faults);
        }

        var templates = entries.LastOrDefault(entry => entry.Path is ["templates"] && entry.Value.Length > 0)?.Value;
        foreach (var entry in entries.Where(entry => entry.Path is not (["mail", _] or ["policy", _] or ["sites", _, _] or ["templates"])))
            faults.Add(new SettingsFault(name, entry.Line, $"unknown key \"{string.Join('.', entry.Path)}\"; nearest is \"{Nearest(entry.Path[0], Sections)}\""));
        foreach (var (where, of) in sites.Select(site => (site.Key, site.Value)).Append(("policy", policy)))
        {
            if (of.WindowFrom >= of.WindowTo)
                faults.Add(new SettingsFault(name, 0, $"{where}: window_from is not before window_to"));
        }

        if (mail.Security == MailSecurity.Plain && mail.Host is string host && !MailSettings.IsLoopback(host))
            faults.Add(new SettingsFault(name, 0, $"mail.security: Plain is for this machine itself only, not for {host}"));
        return (new PlannerSettings { Mail = mail, Policy = policy, Sites = sites, TemplatesFolder = templates }, [.. faults.OrderBy(fault => fault.Line)]);
    }

    private static T Read<T, TKey>(Entry entry, IReadOnlyDictionary<string, TKey> keys, Func<TKey, T?> read, Func<TKey, string> range, T before, string file, List<SettingsFault> faults)
        where T : class
    {
        if (!keys.TryGetValue(entry.Path[^1], out var key))
            faults.Add(new SettingsFault(file, entry.Line, $"unknown key \"{entry.Path[^1]}\"; nearest is \"{Nearest(entry.Path[^1], keys.Keys)}\""));
        else if (read(key) is T settings)
            return settings;
        else
            faults.Add(new SettingsFault(file, entry.Line, $"{string.Join('.', entry.Path)}: \"{entry.Value}\" will not do; it is {range(key)}"));
        return before;
    }

    // Every value with its path and line; lists are joined by semicolons.
    private static List<Entry> ListEntries(byte[] bytes)
    {
        var reader = new Utf8JsonReader(bytes, new JsonReaderOptions { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true, MaxDepth = 8 });
        var entries = new List<Entry>();
        var path = new List<string>();
        var list = new List<string>();
        var isList = false;
        while (reader.Read())
        {
            var line = bytes.AsSpan(0, (int)reader.TokenStartIndex).Count((byte)'\n') + 1;
            switch (reader.TokenType)
            {
                case JsonTokenType.PropertyName:
                    path.Add(reader.GetString()!);
                    break;
                case JsonTokenType.StartArray:
                    (isList, list) = (true, []);
                    break;
                case JsonTokenType.EndObject:
                    if (path.Count > 0)
                        path.RemoveAt(path.Count - 1);
                    break;
                case JsonTokenType.StartObject:
                    break;
                case JsonTokenType.EndArray:
                    isList = false;
                    entries.Add(new Entry([.. path], string.Join(';', list), line));
                    path.RemoveAt(path.Count - 1);
                    break;
                default:
                    var value = Value(ref reader);
                    if (isList)
                    {
                        list.Add(value);
                        break;
                    }

                    entries.Add(new Entry(path.Count > 0 ? [.. path] : [value], value, line));
                    if (path.Count > 0)
                        path.RemoveAt(path.Count - 1);
                    break;
            }
        }

        return entries;
    }

    private static string Value(ref Utf8JsonReader reader) => reader.TokenType switch
    {
        JsonTokenType.String => reader.GetString()!,
        JsonTokenType.True => "yes",
        JsonTokenType.False => "no",
        JsonTokenType.Null => string.Empty,
        _ => System.Text.Encoding.UTF8.GetString(reader.ValueSpan),
    };

    private static string Nearest(string word, IEnumerable<string> keys) => keys.MinBy(key => Distance(word, key))!;

    // Letters to change, add or leave out between two words (Levenshtein).
    private static int Distance(string left, string right)
    {
        var row = Enumerable.Range(0, right.Length + 1).ToArray();
        for (var i = 1; i <= left.Length; i++)
        {
            var diagonal = row[0];
            row[0] = i;
            for (var j = 1; j <= right.Length; j++)
                (diagonal, row[j]) = (row[j], Math.Min(Math.Min(row[j], row[j - 1]) + 1, diagonal + (left[i - 1] == right[j - 1] ? 0 : 1)));
        }

        return row[right.Length];
    }

    private sealed record Entry(string[] Path, string Value, int Line);
}
