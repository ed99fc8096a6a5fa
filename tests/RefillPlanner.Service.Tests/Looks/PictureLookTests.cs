using System.Collections.Generic;
using System.IO;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;
using RefillPlanner.Core.Tests.Pictures;
using RefillPlanner.Service.Mail;
using SkiaSharp;
using Xunit;

namespace RefillPlanner.Service.Tests.Looks;

/// <summary>The pictures of doses on their own ground: letters (WCAG 2.2, 1.4.3), lines and shapes (1.4.11), in light and in dark.</summary>
public sealed class PictureLookTests
{
    public static TheoryData<string, bool> Drawings => [.. Barrels.All.Keys.SelectMany(name => new[] { (name, false), (name, true) })];

    [Theory]
    [MemberData(nameof(Drawings))]
    public void A_drawing_stands_out_from_a_ground_of_its_own(string name, bool isDark)
    {
        var drawing = PictureDrawing.Of(Barrels.All[name], Language.English);
        var page = PageElement.Read(DrawingSvg.Write(drawing, "p"));
        var look = new PageLook(page, new Medium(isDark));
        var shapes = page.All.Where(element => element.Classes.Count > 0).ToArray();
        string Fill(string of) => look.Find(shapes.First(shape => shape.Classes.Contains(of)), of == "rp-line" ? "stroke" : "fill")!;

        // The ground is drawn first and covers the whole drawing, whatever the page around it has.
        var svg = page.Children.Single();
        Assert.Equal(("rect", svg.Attributes["width"], svg.Attributes["height"]), (shapes[0].Name, shapes[0].Attributes["width"], shapes[0].Attributes["height"]));
        Assert.Equal(["rp-paper"], shapes[0].Classes);
        Assert.All(shapes.Where(shape => shape.Name == "text"), letters => Assert.True(Contrast.Ratio(look.Find(letters, "fill")!, Fill("rp-paper")) >= Contrast.OfText));
        foreach (var ground in shapes.SelectMany(shape => shape.Classes).Intersect(["rp-paper", "rp-tint"]).Distinct())
        {
            Assert.True(Contrast.Ratio(Fill("rp-line"), Fill(ground)) >= Contrast.OfShapes);
            Assert.All(shapes.Where(shape => shape.Classes.Contains("rp-ink")), ink => Assert.True(Contrast.Ratio(look.Find(ink, "fill")!, Fill(ground)) >= Contrast.OfShapes));
        }
    }

    // Letters stand beside the barrel, never on the medicine: the ground that is measured above is theirs.
    [Theory]
    [MemberData(nameof(Drawings))]
    public void No_letters_stand_on_the_medicine(string name, bool isDark)
    {
        _ = isDark;
        var shapes = PictureDrawing.Of(Barrels.All[name], Language.English).Shapes;
        foreach (var medicine in shapes.OfType<Box>().Where(box => box.Fill == BoxFill.Tint))
            Assert.DoesNotContain(shapes.OfType<Lettering>(), letters => letters.X > medicine.X && letters.X < medicine.X + medicine.Width && letters.Y > medicine.Y && letters.Y < medicine.Y + medicine.Height);
    }

    // In mail the picture is a light card, also for who reads in dark.
    [Fact]
    public void The_picture_of_a_mail_has_light_paper_to_its_edges()
    {
        foreach (var panels in Barrels.All.Values)
        {
            using var bitmap = SKBitmap.Decode(new MemoryStream(PicturePng.Paint(PictureDrawing.Of(panels, Language.English))));
            var edge = new HashSet<SKColor> { bitmap.GetPixel(0, 0), bitmap.GetPixel(bitmap.Width - 1, 0), bitmap.GetPixel(0, bitmap.Height - 1), bitmap.GetPixel(bitmap.Width - 1, bitmap.Height - 1) };
            Assert.Equal(SKColor.Parse(DrawingSvg.LightPaper), Assert.Single(edge));
        }
    }
}
