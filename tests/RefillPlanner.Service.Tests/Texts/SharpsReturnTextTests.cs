using System;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>
/// How sharps come back is a text of the site and of no one else. Source (R): California Health and Safety Code 118286 forbids the household trash, other
/// places allow it when contained; USPS Publication 52, 6D: by mail only with systems that the postal service has authorised.
/// </summary>
public sealed class SharpsReturnTextTests
{
    // A text as one site may have it, with what could be read as markup or as a variable.
    private const string English = "Close it & bring it to our counter, 2 to 5 p.m. Or use the box that we gave you: it is <approved>, {{ no }} other.";
    private const string Spanish = "Ciérrelo & tráigalo al mostrador, de 2 a 5 p.m. O use la caja que le dimos: está <aprobada>, {{ no }} otra.";

    [Theory]
    [InlineData(Language.English, English)]
    [InlineData(Language.Spanish, Spanish)]
    public void A_sharps_notice_carries_exactly_the_text_of_the_site(Language language, string words)
    {
        foreach (var text in Write(language, English, Spanish))
            Assert.Equal(2, text.Split(words).Length);
    }

    [Theory]
    [InlineData(Language.English, "Ask the pharmacy how to return it: rules differ from place to place.")]
    [InlineData(Language.Spanish, "Pregunte en la farmacia cómo devolverlo: las reglas son distintas en cada lugar.")]
    public void Without_one_it_sends_the_patient_to_the_pharmacy_and_speaks_of_neither_trash_nor_mail(Language language, string words)
    {
        foreach (var text in Write(language, english: null, spanish: null))
        {
            Assert.Contains(words, text, StringComparison.Ordinal);
            Assert.DoesNotMatch("(?i)trash|garbage|rubbish|basura|mail-?back|by mail|send it|correo postal|env[ií]e|USPS", text);
        }
    }

    // A text in the other language is not taken for one's own.
    [Fact]
    public void A_text_in_one_language_is_not_given_to_who_reads_the_other() =>
        Assert.All(Write(Language.Spanish, English, spanish: null), text => Assert.Contains("Pregunte en la farmacia cómo devolverlo", text, StringComparison.Ordinal));

    // The plain text and the HTML of the notice as a reader sees them.
    private static string[] Write(Language language, string? english, string? spanish)
    {
        var sample = new SampleCourse(language, IsPlain: false);
        var site = sample.Site with { SharpsReturn = english, SharpsReturnEs = spanish };
        var notice = PatientNotice.Of(sample.Patient, site).WithSharps(SampleCourse.Today.PlusDays(14), site, SampleCourse.Today);
        var message = new MailComposer(new MailTemplates(), new MailSettings()).Compose(notice, sample.Patient, site, [], SampleCourse.Today, SampleModels.Now);
        return [message.Text, TextRules.Visible(message.Html)];
    }
}
