using System;
using System.Collections.Concurrent;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Reflection;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.RegularExpressions;
using Fluid;
using RefillPlanner.Core.Messages;

namespace RefillPlanner.Service.Mail;

/// <summary>The texts of all mails, as templates; a variable that is missing throws, it is never left blank.</summary>
public sealed partial class MailTemplates
{
    private const string Prefix = "templates/";
    private const int MostSteps = 1_000_000;
    private readonly ConcurrentDictionary<string, IFluidTemplate> _templates = new(StringComparer.Ordinal);
    private readonly IReadOnlyDictionary<string, string> _texts;

    /// <summary>The templates that this program carries; each is read and parsed when it is first used.</summary>
    public MailTemplates()
        : this(OwnTemplates.Read(folder: null), isChecked: true)
    {
    }

    /// <summary>The names of the templates that this program carries.</summary>
    public static IReadOnlyCollection<string> CarriedNames => Carried.Texts.Keys;

    /// <summary>The templates that this program carries, and in their place those of a pharmacy's own folder, read now: see <see cref="OwnTemplates"/>.</summary>
    /// <param name="folder">The folder; null: only those that this program carries.</param>
    public static MailTemplates Of(string? folder) => new(OwnTemplates.Read(folder), isChecked: true);

    /// <summary>Reads templates given as text, by name, in the place of those that this program carries, and parses all that are given.</summary>
    /// <exception cref="FormatException">One cannot be parsed; the message names it, with the line.</exception>
    public MailTemplates(IReadOnlyDictionary<string, string> texts)
        : this(texts, isChecked: false)
    {
    }

    private MailTemplates(IReadOnlyDictionary<string, string> texts, bool isChecked)
    {
        _texts = texts;
        foreach (var name in isChecked ? [] : texts.Keys)
            _templates[name] = Parse(name);
    }

    /// <summary>Renders a template to its end.</summary>
    /// <param name="name">Such as <c>morning-list.txt</c>.</param>
    /// <param name="variable">What the template calls its model.</param>
    /// <param name="model">The model.</param>
    public string Render(string name, string variable, object model)
    {
        var context = new TemplateContext(Language.Options);
        context.SetValue(variable, model);
        var isHtml = name.EndsWith(".html", StringComparison.Ordinal);
        var text = _templates.GetOrAdd(name, Parse).Render(context, isHtml ? HtmlEncoder.Default : NullEncoder.Default);
        return isHtml ? Numbers().Replace(text, "\u00a0") : Tidy(text);
    }

    // The space between a number and its unit: no line ends there, so that neither is read without the other.
    [GeneratedRegex("(?<=[0-9]) (?=(mg|mcg|mL|units?|unidad(es)?)\\b)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 5_000)]
    private static partial Regex Numbers();

    private IFluidTemplate Parse(string name) => Language.Parser.TryParse(_texts.TryGetValue(name, out var text) ? text : Carried.Texts[name], out var template, out var error)
        ? template
        : throw new FormatException($"Template {name}: {error}");

    // No more than one empty line in a row, none at the ends.
    private static string Tidy(string text)
    {
        var lines = text.ReplaceLineEndings("\n").Split('\n').Select(line => line.TrimEnd()).ToArray();
        var kept = lines.Where((line, index) => line.Length > 0 || (index > 0 && lines[index - 1].Length > 0));
        return string.Join('\n', kept).Trim('\n') + "\n";
    }

    // Read when one of them is first needed; most starts of the service need none.
    private static class Carried
    {
        public static readonly Dictionary<string, string> Texts = Read();

        private static Dictionary<string, string> Read()
        {
            var assembly = Assembly.GetExecutingAssembly();
            return assembly.GetManifestResourceNames()
                .Where(name => name.StartsWith(Prefix, StringComparison.Ordinal))
                .ToDictionary(name => name[Prefix.Length..^".liquid".Length], name =>
                {
                    using var reader = new StreamReader(assembly.GetManifestResourceStream(name)!, Encoding.UTF8);
                    return reader.ReadToEnd();
                });
        }
    }

    // The grammar, made when the first template is parsed: that takes longer than all else at a start of the service.
    private static class Language
    {
        public static readonly FluidParser Parser = new();

        public static readonly TemplateOptions Options = MakeOptions();

        private static TemplateOptions MakeOptions()
        {
            var options = new TemplateOptions { StrictVariables = true, StrictFilters = true, MaxSteps = MostSteps, MemberAccessStrategy = new DefaultMemberAccessStrategy { MemberNameStrategy = MemberNameStrategies.SnakeCase } };
            foreach (var type in new[] { typeof(MorningList), typeof(MorningSection), typeof(MorningRow), typeof(StepUpAlert), typeof(AlertStep), typeof(PatientNotice), typeof(PatientSheet), typeof(SheetStep), typeof(SheetDay), typeof(SheetEntry), typeof(DiscardLine), typeof(ServiceAlert), typeof(ServiceReport) })
                options.MemberAccessStrategy.Register(type);
            return options;
        }
    }
}
