using System;
using System.Linq;
using System.Text.RegularExpressions;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>
/// What the printed sheet says about injecting, against what is published: where to inject, and how, always as the pharmacist showed it. The program
/// does not teach and states no degrees.
/// </summary>
public sealed class TechniqueTextTests
{
    // Source (R): Clin Diabetes 2019;37:227 and hospital handouts: at least 1 cm, about a finger's width, from the last place.
    [Theory]
    [InlineData(Language.English, "Stay at least a finger's width (1 cm) from the last place.")]
    [InlineData(Language.Spanish, "Deje al menos el ancho de un dedo (1 cm) desde el último lugar.")]
    public void The_next_place_is_a_fingers_width_from_the_last(Language language, string words) => AssertSays(language, words);

    // Source (R): hospital handouts: 2 inches from the navel.
    [Theory]
    [InlineData(Language.English, "Stay two inches from your navel.")]
    [InlineData(Language.Spanish, "Deje dos pulgadas desde el ombligo.")]
    public void The_navel_is_two_inches_away(Language language, string words) => AssertSays(language, words);

    // Source (P): common practice, no single source: alcohol must dry.
    [Theory]
    [InlineData(Language.English, "Let the alcohol dry first.")]
    [InlineData(Language.Spanish, "Primero deje secar el alcohol.")]
    public void The_alcohol_dries_first(Language language, string words) => AssertSays(language, words);

    // Source (P): common practice, handouts: air under the skin does no harm, but it lowers the dose.
    [Theory]
    [InlineData(Language.English, "Push the air bubbles out as you were shown. Under the skin they do no harm, but they make the dose smaller.")]
    [InlineData(Language.Spanish, "Saque las burbujas de aire como le enseñaron. Bajo la piel no hacen daño, pero la dosis queda más chica.")]
    public void Air_bubbles_are_pushed_out_as_it_was_shown_because_they_make_the_dose_smaller(Language language, string words) => AssertSays(language, words);

    // The air of a syringe that comes filled is not to be pushed out with some medicines: the sheet says nothing about it.
    [Theory]
    [InlineData(Language.English, "bubble")]
    [InlineData(Language.Spanish, "burbuja")]
    public void Of_a_syringe_that_comes_filled_nothing_is_said_about_air(Language language, string word) =>
        Assert.DoesNotContain(word, Text(new SampleCourse(language, IsPlain: true)), StringComparison.OrdinalIgnoreCase);

    // Source (P): 90 degrees for most, 45 for the very thin: whom the pharmacist showed knows which.
    [Theory]
    [InlineData(Language.English, "Inject at the angle you were shown.")]
    [InlineData(Language.Spanish, "Inyecte con el ángulo que le enseñaron.")]
    public void The_angle_is_the_one_that_was_shown_and_no_degrees_are_stated(Language language, string words)
    {
        AssertSays(language, words);
        Assert.DoesNotMatch(@"(?i)degrees|grados|°|\b(45|90)\b", Text(new SampleCourse(language, IsPlain: false)));
    }

    private static void AssertSays(Language language, string words)
    {
        Assert.Contains(words, Text(new SampleCourse(language, IsPlain: false)), StringComparison.Ordinal);
    }

    private static string Text(SampleCourse of)
    {
        var page = new MailComposer(new MailTemplates(), new MailSettings()).Page(SampleModels.Sheet(of));
        return TextRules.Visible(Regex.Replace(page, "(?s)<svg.*?</svg>", string.Empty, RegexOptions.None, TimeSpan.FromSeconds(5)));
    }
}
