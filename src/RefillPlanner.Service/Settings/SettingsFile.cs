using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text.Json;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Settings;

/// <summary>
/// Reads the configuration file: JSON with comments, the sections <c>mail</c>, <c>mailbox</c>, <c>policy</c>, and <c>sites</c> with a section of policy keys for
/// a site, and <c>templates</c>, the folder of the pharmacy's own templates. Every fault is named with its line and the nearest key that exists.
/// </summary>
public static class SettingsFile
{
    private static readonly string[] Sections = ["mail", "mailbox", "policy", "sites", "templates"];

    /// <summary>Reads a file; null: no file, all defaults.</summary>
    /// <returns>The settings, and what is wrong; when anything is, the settings are of no meaning.</returns>
    public static (PlannerSettings Settings, IReadOnlyList<SettingsFault> Faults) Read(string? file)
    {
        if (file is null)
            return (new PlannerSettings(), []);
        if (!File.Exists(file))
            return (new PlannerSettings(), [new SettingsFault(file, 0, Directory.Exists(file) ? "this is a folder; name the file in it" : "there is no such file")]);
        try
        {
            var (settings, faults) = Parse(Path.GetFileName(file), File.ReadAllBytes(file));
            return faults.Count > 0 ? (settings, faults) : WithTemplates(settings, file);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return (new PlannerSettings(), [new SettingsFault(file, 0, $"the file cannot be read: {failure.Message}")]);
        }
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
        List<SettingsEntry> entries;
        try
        {
            entries = SettingsEntry.List(bytes, name, faults);
        }
        catch (JsonException broken)
        {
            return (new PlannerSettings(), [new SettingsFault(name, (int)(broken.LineNumber ?? 0) + 1, "no valid JSON: " + broken.Message.Split(". LineNumber", StringSplitOptions.None)[0])]);
        }

        var mail = new MailSettings();
        var mailbox = new MailboxSettings();
        var policy = Policy.Default;
        var sites = new Dictionary<string, Policy>();
        foreach (var entry in entries.Where(entry => entry.Path is ["mail", _]))
            mail = Read(entry, MailKeys.All, key => key.Read(mail, entry.Value), key => key.Explain(entry.Value), mail, name, faults);
        foreach (var entry in entries.Where(entry => entry.Path is ["mailbox", _]))
            mailbox = Read(entry, MailboxKeys.All, key => key.Read(mailbox, entry.Value), key => key.Explain(entry.Value), mailbox, name, faults);
        foreach (var entry in entries.Where(entry => entry.Path is ["policy", _]))
            policy = Read(entry, PolicyKeys.All, key => key.Read(policy, entry.Value), key => key.Range, policy, name, faults);
        foreach (var entry in entries.Where(entry => entry.Path is ["sites", _, _]))
        {
            var site = sites.GetValueOrDefault(entry.Path[1]) ?? policy;
            sites[entry.Path[1]] = Read(entry, PolicyKeys.All, key => key.Read(site, entry.Value), key => key.Range, site, name, faults);
        }

        var templates = entries.FindLast(entry => entry.Path is ["templates"] && entry.Value.Length > 0)?.Value;
        foreach (var entry in entries.Where(entry => entry.Path is not (["mail" or "mailbox", _] or ["policy", _] or ["sites", _, _] or ["templates"])))
            faults.Add(new SettingsFault(name, entry.Line, Misplaced(entry)));
        foreach (var (where, of) in sites.Select(site => (site.Key, site.Value)).Append(("policy", policy)))
        {
            if (of.WindowFrom >= of.WindowTo)
                faults.Add(new SettingsFault(name, LineOfWindow(entries, where), $"{where}: window_from is not before window_to"));
        }

        if (mail.Host is null && entries.Find(entry => entry.Path is ["mail", "port" or "security" or "user" or "password_file" or "root_certificate_file"]) is SettingsEntry needsHost)
            faults.Add(new SettingsFault(name, needsHost.Line, $"{needsHost.Name} is set, but mail.host is missing: without it no mail leaves this machine. Name the mail server, or leave {needsHost.Path[^1]} out"));
        if (mail.Security == MailSecurity.Plain && mail.Host is string host && !MailSettings.IsLoopback(host))
            faults.Add(new SettingsFault(name, 0, $"mail.security: Plain is for this machine itself only, not for {host}"));
        if (faults.Count == 0 && MailboxKeys.FindFault(mailbox) is string fault)
            faults.Add(new SettingsFault(name, 0, fault));
        return (new PlannerSettings { Mail = mail, Mailbox = mailbox, Policy = policy, Sites = sites, TemplatesFolder = templates, Sources = Sources(name, entries) }, [.. faults.OrderBy(fault => fault.Line)]);
    }

    private static T Read<T, TKey>(SettingsEntry entry, IReadOnlyDictionary<string, TKey> keys, Func<TKey, T?> read, Func<TKey, string> range, T before, string file, List<SettingsFault> faults)
        where T : class
    {
        if (!keys.TryGetValue(entry.Path[^1], out var key))
            faults.Add(new SettingsFault(file, entry.Line, $"unknown key \"{entry.Path[^1]}\"; nearest is \"{NearestKey.Of(entry.Path[^1], keys.Keys)}\""));
        else if (read(key) is T settings)
            return settings;
        else
            faults.Add(new SettingsFault(file, entry.Line, $"{string.Join('.', entry.Path)}: \"{entry.Value}\" will not do; it is {range(key)}"));
        return before;
    }

    private static string Misplaced(SettingsEntry entry) => entry.Path switch
    {
        [var section] when Sections.Contains(section) => $"{section}: \"{entry.Value}\" will not do; it is a section: \"{section}\": {{ ... }}",
        ["sites", _] => $"{entry.Name}: \"{entry.Value}\" will not do; it is a section with keys of policy",
        [var section, ..] when Sections.Contains(section) => $"unknown key \"{entry.Name}\"; a key of {section} holds a value, not a section",
        _ => $"unknown key \"{entry.Name}\"; nearest is \"{NearestKey.Of(entry.Path[0], Sections)}\"",
    };

    private static int LineOfWindow(List<SettingsEntry> entries, string where) =>
        entries.FindLast(entry => entry.Path[^1] is "window_from" or "window_to" && (entry.Path[0] == where || (entry.Path is ["sites", var site, _] && site == where)))?.Line ?? 0;

    // A key that is said twice is a fault, and has no meaning here.
    private static Dictionary<string, string> Sources(string name, List<SettingsEntry> entries) =>
        entries.DistinctBy(entry => entry.Name).ToDictionary(entry => entry.Name, entry => $"{name}:{entry.Line}", StringComparer.Ordinal);
}
