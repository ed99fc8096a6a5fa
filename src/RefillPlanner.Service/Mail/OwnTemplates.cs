using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text;
using System.Text.RegularExpressions;
using RefillPlanner.Service.Settings;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// A pharmacy's own templates: a file in its folder takes the place of the template that the program carries under the same name. Every one is parsed and
/// tried out on invented patients before the program starts.
/// </summary>
public static partial class OwnTemplates
{
    private const string Ending = ".liquid";

    /// <summary>The texts of a folder by template name; null or a folder that is not there: none.</summary>
    /// <exception cref="IOException">It cannot be read.</exception>
    public static IReadOnlyDictionary<string, string> Read(string? folder) => folder is null || !Directory.Exists(folder)
        ? new Dictionary<string, string>()
        : Directory.EnumerateFiles(folder, $"*{Ending}").Order(StringComparer.Ordinal).ToDictionary(file => Path.GetFileName(file)[..^Ending.Length], file => File.ReadAllText(file, Encoding.UTF8));

    /// <summary>What is wrong with the templates of a folder, each with its file, line and reason; empty: nothing.</summary>
    public static IReadOnlyList<SettingsFault> ListFaults(string? folder)
    {
        try
        {
            var carried = MailTemplates.CarriedNames;
            return [.. Read(folder).Select(text => FindFault(text.Key, text.Value, carried)).OfType<SettingsFault>()];
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return [new SettingsFault(folder!, 0, $"the templates cannot be read: {failure.Message}")];
        }
    }

    private static SettingsFault? FindFault(string name, string text, IReadOnlyCollection<string> carried)
    {
        SettingsFault Fault(int line, string reason) => new(name + Ending, line, reason);
        if (!carried.Contains(name) || SampleModels.Find(name) is not var (variable, models))
            return Fault(0, $"there is no template of this name to replace; those are {string.Join(", ", carried.Order(StringComparer.Ordinal))}");
        try
        {
            var templates = new MailTemplates(new Dictionary<string, string> { [name] = text });
            var said = models.Select(model => templates.Render(name, variable, model)).ToArray();
            return said.Any(string.IsNullOrWhiteSpace) ? Fault(0, "it says nothing about an invented patient") : FindLeftOut(name, text, said[0]) is string left ? Fault(0, left) : null;
        }
        catch (FormatException broken)
        {
            var place = Place().Match(broken.Message);
            var line = place.Success ? int.Parse(place.Groups["line"].ValueSpan, System.Globalization.CultureInfo.InvariantCulture) : 0;
            return Fault(line, $"it cannot be read: {broken.Message.Split('\n')[0].Replace($"Template {name}: ", string.Empty, StringComparison.Ordinal).TrimEnd('\r')}");
        }
        catch (Exception failed) when (failed is Fluid.FluidException or InvalidOperationException)
        {
            return Fault(LineOf(text, Quoted().Match(failed.Message).Groups["name"].Value), $"it was tried out on an invented patient and failed: {failed.Message}; the variables are those of the template that the program carries");
        }
    }

    // A caution stands on everything that the program sends.
    private static string? FindLeftOut(string name, string text, string said) =>
        !name.StartsWith("service-report", StringComparison.Ordinal) && !text.Contains(".caution", StringComparison.Ordinal)
            ? "it leaves out the caution, which every list, alert and notice carries"
            : said.Contains("cid:", StringComparison.Ordinal) && !said.Contains(" alt=\"", StringComparison.Ordinal) ? "its picture has no alternative text (alt)" : null;

    private static int LineOf(string text, string name) => name.Length == 0
        ? 0
        : Array.FindIndex(text.Split('\n'), line => Regex.IsMatch(line, $@"\b{Regex.Escape(name)}\b", RegexOptions.None, TimeSpan.FromSeconds(1))) + 1;

    [GeneratedRegex(@"\((?<line>\d+):\d+\)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1_000)]
    private static partial Regex Place();

    [GeneratedRegex("'(?<name>[^']+)'", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1_000)]
    private static partial Regex Quoted();
}
