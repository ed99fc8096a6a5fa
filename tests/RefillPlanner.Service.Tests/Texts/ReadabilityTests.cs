using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>Patient notices are easy to read, in each combination of what one may say.</summary>
public sealed class ReadabilityTests
{
    private const double HighestGrade = 6;
    private const double LowestIndex = 65;

    [Theory]
    [InlineData("pharmacy", 3)]
    [InlineData("container", 3)]
    [InlineData("overfill", 3)]
    [InlineData("closed", 1)]
    [InlineData("needed", 2)]
    [InlineData("places", 2)]
    [InlineData("emergency", 4)]
    [InlineData("arrange", 2)]
    [InlineData("people", 2)]
    [InlineData("medicine", 3)]
    [InlineData("injection", 3)]
    [InlineData("table", 2)]
    [InlineData("trial", 2)]
    [InlineData("the", 1)]
    public void English_syllables_are_counted(string word, int syllables) => Assert.Equal(syllables, EnglishSyllables.Count(word));

    [Theory]
    [InlineData("farmacia", 3)]
    [InlineData("próximo", 3)]
    [InlineData("aguja", 3)]
    [InlineData("día", 2)]
    [InlineData("quiere", 2)]
    [InlineData("llegue", 2)]
    [InlineData("muy", 1)]
    [InlineData("leer", 2)]
    [InlineData("farmacéutico", 5)]
    [InlineData("lea", 2)]
    public void Spanish_syllables_are_counted(string word, int syllables) => Assert.Equal(syllables, SpanishSyllables.Count(word));

    [Fact]
    public void A_sentence_of_known_measure_has_it()
    {
        // 6 words, 6 syllables, 1 sentence: 0.39 x 6 + 11.8 x 1 - 15.59 = -1.45.
        Assert.Equal(-1.45, Readability.EnglishGrade("The cat sat on the mat."), 2);

        // 6 words, 9 syllables (el ga-to es-tá en la si-lla): 206.835 - 62.3 x 9 / 6 - 6 = 107.385.
        Assert.Equal(107.385, Readability.SpanishIndex("El gato está en la silla."), 3);
    }

    [Fact]
    public void English_notices_need_six_years_of_school_at_most() => Assert.All(List(Language.English), text =>
    {
        var grade = Readability.EnglishGrade(text);
        Assert.True(grade <= HighestGrade, $"Flesch-Kincaid grade {grade:F1}:\n{text}");
    });

    [Fact]
    public void Spanish_notices_are_rather_easy_on_the_INFLESZ_scale() => Assert.All(List(Language.Spanish), text =>
    {
        var index = Readability.SpanishIndex(text);
        Assert.True(index >= LowestIndex, $"INFLESZ {index:F1}:\n{text}");
    });

    // Every combination of refill (picked up, shipped), sharps and discard lines, with and without what a site may have on record.
    private static IEnumerable<string> List(Language language) =>
        from isPlain in new[] { false, true }
        from handover in new Handover?[] { null, Handover.Pickup, Handover.Ship }
        from hasSharps in new[] { false, true }
        from discards in new[] { 0, 1, 2 }
        where handover is not null || hasSharps || discards > 0
        select Render(new SampleCourse(language, isPlain), handover, hasSharps, discards);

    private static string Render(SampleCourse of, Handover? handover, bool hasSharps, int discards)
    {
        var today = SampleCourse.Today;
        var notice = PatientNotice.Of(of.Patient, of.Site);
        if (handover is Handover how)
            notice = notice.WithRefill(today.PlusDays(4), how, today);
        if (hasSharps)
            notice = notice.WithSharps(today.PlusDays(14), of.Site, today);
        for (var discard = 0; discard < discards; discard++)
            notice = notice.WithDiscard(today.PlusDays(discard + 2), today.PlusDays(discard + 3), today);
        return new MailTemplates().Render($"patient-notice.{(of.Language == Language.Spanish ? "es" : "en")}.txt", "notice", notice);
    }
}
