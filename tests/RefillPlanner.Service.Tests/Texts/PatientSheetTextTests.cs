using System;
using System.Collections.Generic;
using System.Linq;
using System.Text.RegularExpressions;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Tests.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>The printed page of every course of the demo, in both languages.</summary>
public sealed class PatientSheetTextTests
{
    private static readonly LocalDate Today = new(2026, 3, 2);

    [Theory]
    [InlineData(Language.English)]
    [InlineData(Language.Spanish)]
    public void Every_sheet_is_written_without_what_is_misread_and_is_easy_to_read(Language language)
    {
        using var bench = new Bench(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));
        bench.ImportDemo(Today);
        var pages = Pages(bench, language).ToArray();
        Assert.True(pages.Length >= 20);
        foreach (var page in pages)
        {
            var text = TextRules.Visible(page);
            Assert.Empty(TextRules.ListFaults(text));
            var sentences = Sentences(page);
            if (language == Language.Spanish)
                Assert.True(Readability.SpanishIndex(sentences) >= 65, $"{Readability.SpanishIndex(sentences)}: {sentences}");
            else
                Assert.True(Readability.EnglishGrade(sentences) <= 6, $"{Readability.EnglishGrade(sentences)}: {sentences}");
            Assert.Contains(language == Language.Spanish ? "Contiene datos del paciente." : "Contains patient information.", text, StringComparison.Ordinal);
            Assert.Contains(language == Language.Spanish ? "Siga la etiqueta" : "Follow the label", text, StringComparison.Ordinal);
            Assert.DoesNotContain("<script", page, StringComparison.Ordinal);
            Assert.DoesNotMatch("(?i)degrees|grados|°", text);
        }
    }

    // Common practice of medication safety (P): no line ends between a number and its unit.
    [Fact]
    public void A_number_and_its_unit_stay_on_one_line()
    {
        var page = new MailComposer(new MailTemplates(), new MailSettings()).Page(SampleModels.Sheet(new SampleCourse(Language.Spanish, IsPlain: false)));
        Assert.Contains("10\u00a0unidades (0.1\u00a0mL) en la jeringa", page, StringComparison.Ordinal);
        Assert.DoesNotMatch("[0-9] (mg|mL|unidad)", page);
    }

    [Fact]
    public void A_drug_with_markup_in_its_name_is_shown_and_not_obeyed()
    {
        var sheet = SampleModels.Sheet(new SampleCourse(Language.English, IsPlain: false)) with { Drug = "<b>drug</b>" };
        var page = new MailComposer(new MailTemplates(), new MailSettings()).Page(sheet);
        Assert.Contains("&lt;b&gt;drug&lt;/b&gt;", page, StringComparison.Ordinal);
        Assert.Contains("<svg", page, StringComparison.Ordinal);
    }

    private static IEnumerable<string> Pages(Bench bench, Language language)
    {
        var composer = new MailComposer(new MailTemplates(), new MailSettings());
        using var reading = bench.Desk.Database.Read();
        foreach (var snapshot in reading.Snapshots.List())
        {
            var patient = snapshot.Patient with { Language = language };
            var courses = snapshot.Courses.Select(course => course with { Patient = patient }).ToArray();
            var plan = PlanningPipeline.Plan(courses, snapshot.Sharps, Policy.Default, Today);
            foreach (var (course, of) in courses.Zip(plan.Courses).Where(pair => PatientSheet.WhyNot(pair.First, pair.Second) is null))
                yield return composer.Page(PatientSheet.Of(course, of, Policy.Default));
        }
    }

    // Each paragraph on a line of its own, as it reads: what is set in bold stays in its sentence, drawings are left out.
    private static string Sentences(string page)
    {
        var text = Regex.Replace(page, "(?s)<svg.*?</svg>|</?(strong|span)[^>]*>", string.Empty, RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(5));
        return TextRules.Visible(text);
    }
}
