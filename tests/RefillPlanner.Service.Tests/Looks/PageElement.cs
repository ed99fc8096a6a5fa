using System;
using System.Collections.Generic;
using System.Linq;
using System.Net;
using System.Text.RegularExpressions;

namespace RefillPlanner.Service.Tests.Looks;

/// <summary>
/// An element of one of our pages, with what is in it. The reader is strict: it takes only what our templates write, every element closed in its place, and
/// throws at anything else, so that nothing is passed over.
/// </summary>
/// <param name="name">Its name; empty: the document.</param>
/// <param name="attributes">Its attributes, decoded.</param>
/// <param name="parent">What it stands in; null: the document.</param>
internal sealed partial class PageElement(string name, IReadOnlyDictionary<string, string> attributes, PageElement? parent)
{
    private static readonly HashSet<string> Void = ["meta", "br", "img", "hr"];
    private readonly List<PageElement> _children = [];
    private readonly List<string> _texts = [];

    /// <summary>Its name; empty: the document.</summary>
    public string Name => name;

    /// <summary>Its attributes, decoded.</summary>
    public IReadOnlyDictionary<string, string> Attributes => attributes;

    /// <summary>What it stands in; null: the document.</summary>
    public PageElement? Parent => parent;

    /// <summary>The elements in it, in order.</summary>
    public IReadOnlyList<PageElement> Children => _children;

    /// <summary>Its own words, decoded, without those of the elements in it.</summary>
    public string OwnText => string.Join(' ', _texts.Select(text => text.Trim()).Where(text => text.Length > 0));

    /// <summary>All words in it, in order of the elements.</summary>
    public string AllText => string.Join(' ', new[] { OwnText }.Concat(Children.Select(child => child.AllText)).Where(text => text.Length > 0));

    /// <summary>Its classes.</summary>
    public IReadOnlyList<string> Classes => Attributes.TryGetValue("class", out var classes) ? classes.Split(' ', StringSplitOptions.RemoveEmptyEntries) : [];

    /// <summary>It and all that is in it.</summary>
    public IEnumerable<PageElement> All => Children.SelectMany(child => child.All).Prepend(this);

    /// <summary>It and what it stands in, from the inside out.</summary>
    public IEnumerable<PageElement> Outwards => Parent is null ? [this] : Parent.Outwards.Prepend(this);

    /// <summary>The styles of the page: the words of its <c>style</c> elements.</summary>
    public string Styles => string.Join('\n', All.Where(element => element.Name == "style").SelectMany(element => element._texts));

    /// <summary>Reads a page.</summary>
    /// <exception cref="FormatException">It is not written as ours are.</exception>
    public static PageElement Read(string html)
    {
        var document = new PageElement(string.Empty, new Dictionary<string, string>(), parent: null);
        var (inside, at) = (document, 0);
        foreach (Match tag in Tags().Matches(html))
        {
            inside.AddText(html[at..tag.Index]);
            at = tag.Index + tag.Length;
            var tagged = tag.Groups["name"].Value;
            if (tagged == "!doctype")
                continue;
            if (tag.Groups["end"].Length > 0)
            {
                inside = inside.Name == tagged ? inside.Parent! : throw new FormatException($"</{tagged}> closes <{inside.Name}>, at {at}.");
                continue;
            }

            var element = new PageElement(tagged, Attribute().Matches(tag.Groups["attributes"].Value).ToDictionary(match => match.Groups["key"].Value, match => WebUtility.HtmlDecode(match.Groups["value"].Value)), inside);
            inside._children.Add(element);
            if (!Void.Contains(tagged) && tag.Groups["closed"].Length == 0)
                inside = element;
        }

        return inside == document && string.IsNullOrWhiteSpace(html[at..]) ? document : throw new FormatException($"<{inside.Name}> is not closed.");
    }

    /// <summary>Its tag, for who reads a failed test.</summary>
    public override string ToString() => $"<{name} class=\"{string.Join(' ', Classes)}\">";

    private void AddText(string text)
    {
        if (Name != "style" && text.Contains('<', StringComparison.Ordinal))
            throw new FormatException($"What is \"{text}\"?");
        _texts.Add(WebUtility.HtmlDecode(text));
    }

    [GeneratedRegex("<(?<end>/?)(?<name>!?[a-z][a-z0-9]*)(?<attributes>(\\s+[a-zA-Z-]+(=\"[^\"]*\")?)*)\\s*(?<closed>/?)>", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 5_000)]
    private static partial Regex Tags();

    [GeneratedRegex("(?<key>[a-zA-Z-]+)(=\"(?<value>[^\"]*)\")?", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 5_000)]
    private static partial Regex Attribute();
}
