using System;
using System.IO;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Tests.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>No text is written in a way that is known to be misread: neither a template, nor what is made of it.</summary>
public sealed class TextRulesTests
{
    [Theory]
    [InlineData("give .5 mg", "a bare decimal point")]
    [InlineData("give 1.0 mg", "a trailing zero")]
    [InlineData("give 0.50 mg", "a trailing zero")]
    [InlineData("give 10 U", "one letter for units")]
    [InlineData("give 10 IU", "one letter for units")]
    [InlineData("give 5 µg", "a Greek letter")]
    [InlineData("give 1 cc", "cc for mL")]
    [InlineData("give 1 ml", "mL written otherwise")]
    [InlineData("0.5 mg QD", "a Latin abbreviation")]
    [InlineData("0.5 mg qod", "a Latin abbreviation")]
    [InlineData("give 5mg", "a number that touches its unit")]
    [InlineData("give 5000 units", "no comma")]
    [InlineData("on 3/6", "a date in figures")]
    [InlineData("on 2026-03-06", "a date in figures")]
    [InlineData("0,5 mg", "a comma as decimal point")]
    public void What_is_misread_is_found(string text, string what) => Assert.StartsWith(what, Assert.Single(TextRules.ListFaults(text)), StringComparison.Ordinal);

    [Theory]
    [InlineData("0.5 mg, 10 units (0.1 mL) on the 0.5 mL U-100 syringe, 1 unit a line. 5,000 units. Friday, March 6, 2026. Call 555-0100.")]
    [InlineData("a 10 mL vial; -4 %; 100 mcg; 1,250.5 units; staff@example.org")]
    public void What_is_read_right_is_left_alone(string text) => Assert.Empty(TextRules.ListFaults(text));

    [Fact]
    public void No_template_has_a_way_of_writing_that_is_misread()
    {
        var folder = Path.Combine(Repository(), "config", "templates");
        var files = Directory.GetFiles(folder, "*.liquid");
        Assert.True(files.Length >= 10);
        Assert.All(files, file => Assert.Empty(TextRules.ListFaults(TextRules.Visible(TextRules.Written(File.ReadAllText(file))))));
    }

    [Theory]
    [InlineData(2026, 3, 2, 9)]
    [InlineData(2026, 12, 28, 3)]
    public async Task No_mail_of_the_demo_has_one(int year, int month, int day, int days)
    {
        using var bench = new Bench(new DateTimeOffset(year, month, day, 15, 0, 0, TimeSpan.Zero));
        bench.ImportDemo(new LocalDate(year, month, day));
        await bench.Rounds.CatchUpAsync(CancellationToken.None);
        await bench.LiveUntilAsync(bench.Desk.Now + Duration.FromDays(days));
        Assert.True(bench.Route.Letters.Count > 10);
        var letters = bench.Route.Letters.ToLookup(letter => letter.Subject!.StartsWith("RefillPlanner", StringComparison.Ordinal));
        Assert.Contains(letters[false], letter => letter.Headers["Content-Language"] == "es-US");

        // Mail to the person who runs the service speaks of instants, in ISO 8601.
        var faults = letters[false].SelectMany(letter => TextRules.ListFaults(letter.TextBody!).Concat(TextRules.ListFaults(TextRules.Visible(letter.HtmlBody!))).Concat(TextRules.ListFaults(letter.Subject!)));
        Assert.Empty(faults.Distinct());
    }

    private static string Repository([System.Runtime.CompilerServices.CallerFilePath] string here = "") => Path.GetFullPath(Path.Combine(Path.GetDirectoryName(here)!, "..", "..", ".."));
}
