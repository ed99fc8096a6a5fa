using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Looks;

/// <summary>
/// What every mail and the sheet look like, read from their own HTML and styles (WCAG 2.2: 1.1.1, 1.3.1, 1.4.1, 1.4.3, 1.4.11, 3.1.1), in light and in dark.
/// </summary>
public sealed class PageLookTests
{
    private static readonly Medium[] Screens = [new(IsDark: false), new(IsDark: true), new(IsDark: false, Width: 320), new(IsDark: true, Width: 320)];

    // On paper all is light, also for who has asked for dark.
    private static readonly Medium[] All = [.. Screens, new(IsDark: false, IsPrint: true), new(IsDark: true, IsPrint: true)];

    [Theory]
    [InlineData("#000000", "#ffffff", 21)]
    [InlineData("#ffffff", "#ffffff", 1)]
    [InlineData("#777777", "#ffffff", 4.48)]
    [InlineData("#767676", "#ffffff", 4.54)]
    [InlineData("#0000ff", "#ffffff", 8.59)]
    public void Contrast_is_measured_as_the_standard_does(string one, string other, double ratio) => Assert.Equal(ratio, Contrast.Ratio(one, other), 2);

    [Fact]
    public void A_style_sheet_is_read_as_a_browser_reads_it()
    {
        var page = PageElement.Read("<html><style>p { color: #111111; } .a p { color: #222222; } p { font: 16px/1.5 serif; } .b { border: 2px solid #333333; } @media (prefers-color-scheme: dark) { p { color: #444444; } .b { border-color: #555555; } }</style><div class=\"a\"><p class=\"b\">x</p></div><p>y</p></html>");
        var (x, y) = (page.All.First(element => element.OwnText == "x"), page.All.First(element => element.OwnText == "y"));
        var (light, dark) = (new PageLook(page, new Medium(IsDark: false)), new PageLook(page, new Medium(IsDark: true)));
        Assert.Equal(("#222222", "#111111"), (light.Colour(x), light.Colour(y)));
        Assert.Equal(("#222222", "#444444"), (dark.Colour(x), dark.Colour(y)));
        Assert.Equal(["#333333", "#555555"], light.Lines(x).Concat(dark.Lines(x)).Distinct());
        Assert.Equal(16, light.Size(x));
        Assert.Throws<FormatException>(() => PageElement.Read("<p><b>x</p></b>"));
    }

    [Fact]
    public void All_words_stand_out_from_their_ground() => ForEach(All, (look, name) => Assert.All(look.Words, element =>
    {
        var ratio = Contrast.Ratio(look.Colour(element), look.Ground(element));
        Assert.True(ratio >= Contrast.OfText, $"{name}: {look.Colour(element)} on {look.Ground(element)} is {ratio:F2}:1: {element.OwnText}");
    }));

    [Fact]
    public void All_lines_stand_out_from_their_ground() => ForEach(All, (look, name, page) => Assert.All(page.All.SelectMany(element => look.Lines(element).Select(line => (line, element))), pair =>
    {
        var ratio = Contrast.Ratio(pair.line, look.Ground(pair.element));
        Assert.True(ratio >= Contrast.OfShapes, $"{name}: a line {pair.line} on {look.Ground(pair.element)} is {ratio:F2}:1 at <{pair.element.Name}>");
    }));

    [Fact]
    public void No_words_on_a_screen_are_smaller_than_16_pixels() =>
        ForEach(Screens, (look, name) => Assert.All(look.Words, element => Assert.True(look.Size(element) >= 16, $"{name}: {look.Size(element)} px: {element.OwnText}")));

    [Fact]
    public void A_mail_is_one_column_of_at_most_600_pixels()
    {
        foreach (var (name, page) in Pages().Where(page => !page.Name.StartsWith("sheet", StringComparison.Ordinal)))
        {
            var look = new PageLook(page, Screens[0]);
            var column = Assert.Single(page.All, element => element.Classes.Contains("sheet"));
            Assert.Equal("600px", look.Find(column, "max-width"));
            Assert.Equal("body", column.Parent!.Name);
            Assert.All(page.All, element => Assert.True(look.Find(element, "columns") is null && look.Find(element, "float") is null, $"{name}: <{element.Name}> stands beside something"));
            Assert.All(page.All.Where(element => element.Name == "img"), image => Assert.InRange(int.Parse(image.Attributes["width"], System.Globalization.CultureInfo.InvariantCulture), 1, 600));
        }
    }

    [Fact]
    public void The_language_is_said_on_the_page_and_on_the_column_which_some_mail_programs_keep_alone()
    {
        foreach (var (name, page) in Pages())
        {
            var (html, column) = (page.All.First(element => element.Name == "html"), page.All.First(element => element.Classes.Contains("sheet")));
            Assert.Equal(html.Attributes["lang"], column.Attributes["lang"]);
            Assert.StartsWith(name.Contains(".es", StringComparison.Ordinal) ? "es" : "en", html.Attributes["lang"], StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Every_picture_has_words_and_every_table_is_for_show() => ForEach([Screens[0]], (_, name, page) =>
    {
        Assert.All(page.All.Where(element => element.Name == "img"), image => Assert.True(image.Attributes["alt"].Length > 10, name));
        Assert.All(page.All.Where(element => element.Name == "svg"), drawing => Assert.True(drawing.Attributes["role"] == "img" && drawing.Attributes["aria-label"].Length > 10, name));
        Assert.All(page.All.Where(element => element.Name == "table"), table => Assert.Equal("presentation", table.Attributes["role"]));
    });

    // WCAG 2.2, 1.4.1: what a colour marks is marked by a shape as well, a thick line or bold letters; what warns says so in words.
    [Fact]
    public void Nothing_is_said_by_colour_alone()
    {
        foreach (var (name, page) in Pages())
        {
            var rules = StyleRule.List(page.Styles).Where(rule => rule.IsIn(Screens[0])).ToLookup(rule => rule.Selector);
            foreach (var of in rules.Where(of => of.SelectMany(rule => rule.Declarations).Any(pair => IsColoured(pair.Value))))
                Assert.True(of.SelectMany(rule => rule.Declarations).Any(IsShape), $"{name}: {of.Key} differs by its colour alone");
            Assert.All(page.All.Where(element => element.Classes.Any(word => word is "large" or "warning" or "attention")), element => Assert.Matches("^(Warning|Check|Attention|Take care|Cuidado):", Spoken(element)));
            Assert.All(page.All.Where(element => element.Classes.Contains("late")), element => Assert.Contains("late", element.OwnText, StringComparison.Ordinal));
        }
    }

    // Else the tests above would look at nothing.
    [Fact]
    public void Every_rule_that_gives_a_colour_is_seen_at_work_in_some_mail()
    {
        foreach (var pages in Pages().GroupBy(page => page.Name))
        {
            var coloured = pages.SelectMany(page => StyleRule.List(page.Page.Styles)).Where(rule => rule.Declarations.Any(pair => pair.Value.Contains('#', StringComparison.Ordinal))).Select(rule => rule.Selector).Distinct();
            Assert.All(coloured, selector => Assert.Contains(pages, page => page.Page.All.Any(new StyleRule([], selector, []).IsOf)));
        }
    }

    private static string Spoken(PageElement element) => element.Children.FirstOrDefault(child => child.Name is "b" or "strong") is PageElement first ? first.AllText : element.AllText;

    private static bool IsColoured(string value) => value.IndexOf('#', StringComparison.Ordinal) is var at and >= 0 && Contrast.Spread(value.Substring(at, 7)) > 24;

    private static bool IsShape((string Property, string Value) pair) =>
        pair.Property is "font-weight" or "text-decoration" or "border-width" || (pair.Property.StartsWith("border", StringComparison.Ordinal) && pair.Value is ['2' or '3' or '4' or '6', 'p', 'x', ..]);

    private static void ForEach(IEnumerable<Medium> media, Action<PageLook, string> check) => ForEach(media, (look, name, _) => check(look, name));

    private static void ForEach(IEnumerable<Medium> media, Action<PageLook, string, PageElement> check)
    {
        foreach (var medium in media)
        {
            foreach (var (name, page) in Pages())
                check(new PageLook(page, medium), $"{name}, {medium}", page);
        }
    }

    // Every template with every sample, and with what the samples leave out.
    private static IEnumerable<(string Name, PageElement Page)> Pages()
    {
        var templates = new MailTemplates();
        foreach (var name in MailTemplates.CarriedNames.Where(name => name.EndsWith(".html", StringComparison.Ordinal)))
        {
            var (variable, models) = SampleModels.Find(name)!.Value;
            foreach (var model in models.Concat(More(name)))
                yield return (name, PageElement.Read(templates.Render(name, variable, model)));
        }
    }

    private static IEnumerable<object> More(string name)
    {
        if (name.StartsWith("morning-list", StringComparison.Ordinal))
            yield return SampleModels.List(new SampleCourse(Language.English, IsPlain: false)) with { Notes = ["No mail is sent: the mail server refuses the password."] };
        if (name.StartsWith("step-up-alert", StringComparison.Ordinal) && SampleModels.Alert(isPlain: false) is var alert)
            yield return alert with { New = alert.New with { Warnings = ["3 mg: ordered 0.304 mL, nearest mark 0.3 mL, -1.32 %."] } };
        if (name.StartsWith("sheet", StringComparison.Ordinal))
            yield return TwoSteps(name.Contains(".es", StringComparison.Ordinal) ? Language.Spanish : Language.English);
    }

    // The invented course with its second step signed.
    private static PatientSheet TwoSteps(Language language)
    {
        var course = new SampleCourse(language, IsPlain: false).Snapshot;
        course = course with { Facts = [.. course.Facts, new Fact { Id = "F-9", CourseId = course.Course.Id, Kind = FactKind.Approved, On = SampleCourse.Today, Step = 2 }] };
        return PatientSheet.Of(course, PlanningPipeline.Plan([course], [], Policy.Default, SampleCourse.Today).Courses[0], Policy.Default);
    }
}
