using System;
using System.Globalization;
using System.IO;
using System.Linq;
using System.Xml.Linq;
using CsCheck;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;
using Xunit;

namespace RefillPlanner.Core.Tests.Pictures;

/// <summary>The picture of a dose on its barrel or pen.</summary>
public sealed class PictureDrawingTests
{
    private const string WriteGolden = "REFILL_PLANNER_GOLDEN";

    // Any barrel that can be drawn, in hundredths of a mL to whole mL a line, and a mark on one of its lines.
    private static readonly Gen<(Barrel Barrel, long Line)> Marks =
        Gen.Select(Gen.Long[1, 1_000_000], Gen.Int[1, BarrelScale.MostLines], Gen.Int[0, BarrelScale.MostLines], Gen.Int[0, 3].Select(index => new decimal?[] { null, 100, 40, 500 }[index]))
            .Select((graduation, lines, line, perMl) => (new Barrel(new Volume(graduation * lines), new Volume(graduation), perMl), long.Min(line, lines)));

    public static TheoryData<string> Names => [.. Barrels.All.Keys];

    [Theory]
    [MemberData(nameof(Names))]
    public void A_picture_is_as_it_was(string name)
    {
        var svg = DrawingSvg.Write(PictureDrawing.Of(Barrels.All[name], Language.English), name.Replace('.', '-'));
        if (Environment.GetEnvironmentVariable(WriteGolden) == "write")
            File.WriteAllText(Barrels.FileOf(name), svg);
        Assert.Equal(File.ReadAllText(Barrels.FileOf(name)).ReplaceLineEndings("\n"), svg);
    }

    [Fact]
    public void The_plunger_stands_within_a_tenth_of_a_line_of_where_its_mark_is() => Marks.Sample(mark =>
    {
        var scale = new BarrelScale(mark.Barrel);

        // Exactly: line / lines x length. Compared in whole numbers: |below x lines - line x length| < length / 10.
        var off = Math.Abs((long)scale.Below(new Volume(mark.Line * mark.Barrel.Graduation.Nanolitres)) * mark.Barrel.Lines - mark.Line * scale.Length);
        Assert.True(off * 10 < scale.Length, $"{mark}: off by {off} / {mark.Barrel.Lines} hundredths of a pixel");
    });

    [Fact]
    public void The_plunger_is_never_outside_the_barrel() => Marks.Sample(mark =>
    {
        var drawing = PictureDrawing.Of(Panel.List(Side.Alone, [new BarrelReading(mark.Barrel, new Volume(mark.Line * mark.Barrel.Graduation.Nanolitres))]), Language.English);
        var plunger = drawing.Shapes.OfType<Box>().Where(box => box.Fill == BoxFill.Ink).Single(box => box.Width == 3_600);
        var barrel = drawing.Shapes.OfType<Box>().First(box => box.Fill == BoxFill.None);
        Assert.InRange(plunger.Y, barrel.Y, barrel.Y + barrel.Height);
        Assert.InRange(plunger.Y + plunger.Height, barrel.Y, barrel.Y + barrel.Height);
        Assert.All(drawing.Shapes.OfType<Lettering>(), text => Assert.InRange(text.Y, 0, drawing.Height));
    });

    [Fact]
    public void A_numbered_line_is_longer_and_no_barrel_has_more_than_thirteen_numbers() => Marks.Sample(mark =>
    {
        var barrel = mark.Barrel;
        Assert.InRange(barrel.LinesPerNumber, 1, barrel.Lines);
        Assert.True(barrel.Lines / barrel.LinesPerNumber <= 12);
        var drawing = PictureDrawing.Of(Panel.List(Side.Alone, [new BarrelReading(barrel, Volume.Zero)]), Language.English);
        var lines = drawing.Shapes.OfType<Stroke>().Where(line => line.Y1 == line.Y2).ToArray();
        Assert.Equal(barrel.Lines + 1, lines.Length);
        var numbered = drawing.Shapes.OfType<Lettering>().Count(text => text.Anchor == TextAnchor.End);
        Assert.Equal(numbered, lines.Count(line => line.X2 - line.X1 == lines.Max(other => other.X2 - other.X1)));
    });

    [Theory]
    [InlineData("0.3", "0.005", 10)]
    [InlineData("0.5", "0.01", 5)]
    [InlineData("1", "0.01", 10)]
    [InlineData("1", "0.02", 5)]
    public void A_barrel_in_units_is_numbered_by_fives_or_tens(string capacity, string graduation, int lines) =>
        Assert.Equal(lines, Barrels.Units(capacity, graduation).LinesPerNumber);

    [Fact]
    public void The_same_barrel_has_one_scale_and_another_is_said_to_have_its_own()
    {
        var same = PictureDrawing.Of(Barrels.All["now-and-new-one-barrel"], Language.English);
        Assert.DoesNotContain("own scale", same.Description, StringComparison.Ordinal);
        var words = same.Shapes.OfType<Lettering>().Where(text => text.Text == "25").Select(text => text.Y).Distinct();
        Assert.Single(words);
        var other = PictureDrawing.Of(Barrels.All["now-and-new-two-barrels"], Language.English);
        Assert.Contains("Now: 25 units (0.25 mL) on the 1 mL U-100 syringe, 1 unit a line. New: 0.25 mL on the 1 mL syringe marked in mL, 0.01 mL a line. The barrels differ", other.Description, StringComparison.Ordinal);
        Assert.Contains(other.Shapes.OfType<Lettering>(), text => text.Text.Contains("own scale", StringComparison.Ordinal));
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void A_picture_can_be_drawn_again_from_its_code(string name)
    {
        var code = PictureCode.Write(Barrels.All[name]);
        Assert.Matches("^[a-z0-9._-]+$", code);
        Assert.Equal(Barrels.All[name], PictureCode.Find(code));
    }

    [Theory]
    [InlineData("")]
    [InlineData("now-1-1-barrel-500000-10000-100-600000")]
    [InlineData("now-1-1-barrel-500000-0-100-0")]
    [InlineData("now-1-1-barrel-500000-1-100-0")]
    [InlineData("now-0-1-dial-1-units")]
    [InlineData("later-1-1-dial-1-units")]
    public void What_is_no_code_gives_no_picture(string code) => Assert.Null(PictureCode.Find(code));

    [Fact]
    public void A_picture_says_in_words_what_it_shows()
    {
        var svg = XDocument.Parse(DrawingSvg.Write(PictureDrawing.Of(Barrels.All["u100-0.5-by-1"], Language.English), "one"));
        XNamespace space = "http://www.w3.org/2000/svg";
        const string words = "15 units (0.15 mL) on the 0.5 mL U-100 syringe, 1 unit a line.";
        Assert.Equal("img", svg.Root!.Attribute("role")!.Value);
        Assert.Equal(words, svg.Root.Attribute("aria-label")!.Value);
        Assert.Equal(words, svg.Root.Element(space + "desc")!.Value);
        Assert.NotEmpty(svg.Root.Element(space + "title")!.Value);
        Assert.Equal("15 unidades (0.15 mL) en la jeringa U-100 de 0.5 mL, 1 unidad por línea.", PictureDrawing.Of(Barrels.All["u100-0.5-by-1"], Language.Spanish).Description);
    }

    // WCAG 2.2, success criterion 1.4.3, and its definitions of contrast ratio and relative luminance.
    [Theory]
    [InlineData(DrawingSvg.LightInk, DrawingSvg.LightPaper)]
    [InlineData(DrawingSvg.LightInk, DrawingSvg.LightTint)]
    [InlineData(DrawingSvg.DarkInk, DrawingSvg.DarkPaper)]
    [InlineData(DrawingSvg.DarkInk, DrawingSvg.DarkTint)]
    public void Ink_stands_out_from_paper_and_tint_in_light_and_dark(string ink, string ground)
    {
        var (high, low) = (Math.Max(Luminance(ink), Luminance(ground)), Math.Min(Luminance(ink), Luminance(ground)));
        Assert.True((high + 0.05) / (low + 0.05) >= 4.5);
    }

    private static double Luminance(string colour)
    {
        double Part(int at)
        {
            var value = int.Parse(colour.AsSpan(at, 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture) / 255.0;
            return value <= 0.04045 ? value / 12.92 : Math.Pow((value + 0.055) / 1.055, 2.4);
        }

        return 0.2126 * Part(1) + 0.7152 * Part(3) + 0.0722 * Part(5);
    }
}
