using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Pictures;

/// <summary>Puts the panels of a picture together, two in a row.</summary>
public static class PictureDrawing
{
    /// <summary>Width of one panel, in hundredths of a pixel.</summary>
    public const int PanelWidth = 16_000;

    private const int InRow = 2;
    private const int Footnote = 2_400;

    /// <summary>The drawing of some injections.</summary>
    /// <param name="panels">At least one.</param>
    /// <param name="language">Of its words.</param>
    public static Drawing Of(IReadOnlyList<Panel> panels, Language language)
    {
        var isSpanish = language == Language.Spanish;
        var shapes = new List<Shape>();
        var y = 0;
        foreach (var row in panels.Chunk(InRow))
        {
            for (var column = 0; column < row.Length; column++)
                AddTo(shapes, column * PanelWidth, y, row[column], language);
            y += row.Max(panel => panel.Reading is BarrelReading barrel ? BarrelDrawing.Height(barrel.Barrel) : DialDrawing.Height);
        }

        var differ = Differ(panels);
        if (differ)
        {
            shapes.Add(new Lettering(isSpanish ? "Dos jeringas: cada una a su escala." : "Different barrels, each to its own scale.", 800, y + 800, 1_100, TextAnchor.Start));
            y += Footnote;
        }

        var words = string.Join(" ", panels.Select(panel => panel.Label(language) is { Length: > 0 } label ? $"{label}: {panel.Reading.Say(language)}." : $"{panel.Reading.Say(language)}."));
        var scale = (differ, isSpanish) switch
        {
            (false, _) => string.Empty,
            (_, true) => " Las jeringas son distintas; cada una está dibujada a su escala.",
            _ => " The barrels differ; each is drawn to its own scale.",
        };
        return new Drawing(int.Min(panels.Count, InRow) * PanelWidth, y, shapes, isSpanish ? "La dosis en la jeringa o la pluma" : "The dose on the syringe or pen", words + scale);
    }

    /// <summary>Whether two panels show barrels with other lines or numbers, which are not on one scale.</summary>
    public static bool Differ(IReadOnlyList<Panel> panels) => panels.Select(panel => panel.Reading).OfType<BarrelReading>().Select(reading => reading.Barrel).Distinct().Skip(1).Any();

    private static void AddTo(List<Shape> shapes, int x, int y, Panel panel, Language language)
    {
        if (panel.Label(language) is { Length: > 0 } label)
            shapes.Add(new Lettering(label, x + 800, y + 1_800, 1_500, TextAnchor.Start));
        shapes.Add(new Lettering(Caption(panel.Reading, language), x + 800, y + 3_600, 1_100, TextAnchor.Start));
        if (panel.Reading is BarrelReading barrel)
            BarrelDrawing.AddTo(shapes, x, y, barrel, language);
        else
            DialDrawing.AddTo(shapes, x, y, (DialReading)panel.Reading, language);
    }

    private static string Caption(Reading reading, Language language) => (reading, language) switch
    {
        (BarrelReading { Barrel: { UnitsPerMl: decimal perMl } barrel }, _) => $"{DoseText.Volume(barrel.Capacity)} U-{DoseText.Number(perMl)}",
        (BarrelReading { Barrel: var barrel }, Language.Spanish) => $"{DoseText.Volume(barrel.Capacity)}, en mL",
        (BarrelReading { Barrel: var barrel }, _) => $"{DoseText.Volume(barrel.Capacity)}, in mL",
        (_, Language.Spanish) => "ventana de la pluma",
        _ => "window of the pen",
    };
}
