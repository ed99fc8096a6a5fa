using System.Collections.Generic;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Pictures;

/// <summary>Draws a syringe, needle up as it is held under a vial, with the edge of its plunger at the mark.</summary>
internal static class BarrelDrawing
{
    /// <summary>Where the line at zero stands below the top of its panel.</summary>
    public const int Zero = 8_400;

    private const int Left = 3_800;
    private const int Wide = 3_600;
    private const int Right = Left + Wide;
    private const int Middle = Left + Wide / 2;

    // The barrel goes on below its last line, so that the plunger stays inside.
    private const int Beyond = 2_200;
    private const int PlungerHeight = 1_400;
    private const int Rod = 600;
    private const int UnderBarrel = 2_600;
    private const int Small = 1_100;

    /// <summary>How high a panel with this barrel is.</summary>
    public static int Height(Barrel barrel) => Zero + new BarrelScale(barrel).Length + Beyond + UnderBarrel + 1_000;

    /// <summary>Adds it.</summary>
    /// <param name="shapes">Where to.</param>
    /// <param name="x">Left edge of the panel.</param>
    /// <param name="y">Top edge of the panel.</param>
    /// <param name="reading">The barrel and its mark.</param>
    /// <param name="language">Of its words.</param>
    public static void AddTo(List<Shape> shapes, int x, int y, BarrelReading reading, Language language)
    {
        var (barrel, mark) = reading;
        var scale = new BarrelScale(barrel);
        var zero = y + Zero;
        var end = zero + scale.Length + Beyond;
        var edge = zero + scale.Below(mark);
        shapes.Add(new Stroke(x + Middle, y + 4_600, x + Middle, zero - 1_600, 150));
        shapes.Add(new Box(x + Middle - 500, zero - 1_700, 1_000, 1_100, BoxFill.Ink));
        if (edge > zero)
            shapes.Add(new Box(x + Left, zero, Wide, edge - zero, BoxFill.Tint));
        shapes.Add(new Box(x + Left, zero - 600, Wide, end - zero + 600, BoxFill.None));
        shapes.Add(new Box(x + Left, edge, Wide, PlungerHeight, BoxFill.Ink));
        shapes.Add(new Box(x + Middle - Rod / 2, edge + PlungerHeight, Rod, end + UnderBarrel - edge - PlungerHeight, BoxFill.None));
        shapes.Add(new Box(x + Left - 700, end, Wide + 1_400, 300, BoxFill.Ink));
        shapes.Add(new Box(x + Left + 300, end + UnderBarrel, Wide - 600, 400, BoxFill.Ink));
        AddLines(shapes, x, zero, barrel, scale);
        AddMark(shapes, x, edge, barrel, mark, language);
    }

    private static void AddLines(List<Shape> shapes, int x, int zero, Barrel barrel, BarrelScale scale)
    {
        var perNumber = barrel.LinesPerNumber;
        var half = perNumber % 2 == 0 && perNumber > 2 ? perNumber / 2 : perNumber;
        for (long line = 0; line <= barrel.Lines; line++)
        {
            var y = zero + scale.Below(new Volume(line * barrel.Graduation.Nanolitres));
            var isNumbered = line % perNumber == 0;
            var length = isNumbered ? 1_400 : line % half == 0 ? 1_050 : 700;
            shapes.Add(new Stroke(x + Left, y, x + Left + length, y, isNumbered ? 140 : 80));
            if (isNumbered)
                shapes.Add(new Lettering(DoseText.Number(barrel.PrintedAt(line)), x + Left - 400, y + 400, Small, TextAnchor.End));
        }
    }

    private static void AddMark(List<Shape> shapes, int x, int edge, Barrel barrel, Volume mark, Language language)
    {
        const int text = Right + 1_600;
        shapes.Add(new ArrowHead(x + Right + 250, edge, 1_100));
        shapes.Add(new Lettering(DoseText.Number(barrel.Printed(mark)), x + text, edge + 700, 2_000, TextAnchor.Start));
        shapes.Add(new Lettering(barrel.UnitsPerMl is null ? "mL" : DoseText.Unit(DoseUnit.Units, language), x + text, edge + 2_100, 1_200, TextAnchor.Start));
        if (barrel.UnitsPerMl is not null)
            shapes.Add(new Lettering(DoseText.Volume(mark), x + text, edge + 3_500, 1_200, TextAnchor.Start));
    }
}
