using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using System.Text.RegularExpressions;

namespace RefillPlanner.Service.Tests.Looks;

/// <summary>How the elements of a page look in a medium, by the page's own styles.</summary>
/// <param name="page">The page.</param>
/// <param name="medium">Where it is looked at.</param>
internal sealed class PageLook(PageElement page, Medium medium)
{
    // Elements to which browsers give a size of their own: our styles must say theirs.
    private static readonly HashSet<string> OwnSize = ["h1", "h2", "h3", "small", "code", "pre"];
    private readonly IReadOnlyList<StyleRule> _rules = [.. StyleRule.List(page.Styles).Where(rule => rule.IsIn(medium))];

    /// <summary>The elements that hold words which a reader sees, drawings left out.</summary>
    public IEnumerable<PageElement> Words => page.All.Where(element => element.OwnText.Length > 0 && element.Outwards.All(outer => outer.Name is not ("svg" or "head")));

    /// <summary>The colour of an element's words.</summary>
    public string Colour(PageElement element) => Inherited(element, "color") ?? throw new FormatException("No colour is declared.");

    /// <summary>The colour on which an element stands.</summary>
    public string Ground(PageElement element) => Inherited(element, "background") ?? throw new FormatException("No background is declared.");

    /// <summary>The size of an element's letters in pixels.</summary>
    public decimal Size(PageElement element)
    {
        foreach (var outer in element.Outwards)
        {
            if ((Find(outer, "font-size") ?? Find(outer, "font")) is string size)
                return Pixels(size.Split(' ', '/')[0]);
            if (OwnSize.Contains(outer.Name))
                throw new FormatException($"<{outer.Name}> has no size of ours.");
        }

        throw new FormatException("No size is declared.");
    }

    /// <summary>The colours of the lines around an element.</summary>
    public IEnumerable<string> Lines(PageElement element) => Sides(element)
        .Select(side => Find(element, $"border{side}-color") ?? Find(element, "border-color") ?? ColourIn(Find(element, $"border{side}") ?? Find(element, "border")))
        .OfType<string>();

    /// <summary>What the style sheet declares for an element; null: nothing.</summary>
    public string? Find(PageElement element, string property) => _rules
        .Where(rule => rule.IsOf(element))
        .Select((rule, order) => (rule.Weight, Order: order, Value: rule.Declarations.LastOrDefault(pair => pair.Property == property).Value))
        .Where(found => found.Value is not null)
        .OrderBy(found => found.Weight).ThenBy(found => found.Order)
        .LastOrDefault().Value;

    private IEnumerable<string> Sides(PageElement element) =>
        new[] { "-top", "-right", "-bottom", "-left" }.Where(side => (Find(element, $"border{side}") ?? Find(element, "border")) is not null);

    private string? Inherited(PageElement element, string property) => element.Outwards.Select(outer => Find(outer, property)).FirstOrDefault(value => value is not null);

    private static string? ColourIn(string? border) => border is null ? null : Regex.Match(border, "#[0-9a-f]{6}", RegexOptions.None, TimeSpan.FromSeconds(1)) is { Success: true } colour ? colour.Value : null;

    private static decimal Pixels(string size) => size switch
    {
        _ when size.EndsWith("px", StringComparison.Ordinal) => decimal.Parse(size[..^2], CultureInfo.InvariantCulture),
        _ when size.EndsWith("pt", StringComparison.Ordinal) => decimal.Parse(size[..^2], CultureInfo.InvariantCulture) * 4 / 3,
        _ => throw new FormatException($"A size of {size} is not known here."),
    };
}
