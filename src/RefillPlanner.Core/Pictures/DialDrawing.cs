using System.Collections.Generic;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Pictures;

/// <summary>Draws the window of a pen with its number and unit.</summary>
internal static class DialDrawing
{
    /// <summary>How high a panel with a pen is.</summary>
    public const int Height = 15_600;

    /// <summary>Adds it.</summary>
    /// <param name="shapes">Where to.</param>
    /// <param name="x">Left edge of the panel.</param>
    /// <param name="y">Top edge of the panel.</param>
    /// <param name="reading">The number and its unit.</param>
    /// <param name="language">Of its words.</param>
    public static void AddTo(List<Shape> shapes, int x, int y, DialReading reading, Language language)
    {
        const int middle = PictureDrawing.PanelWidth / 2;
        shapes.Add(new Stroke(x + 800, y + 5_400, x + PictureDrawing.PanelWidth - 800, y + 5_400, 200));
        shapes.Add(new Stroke(x + 800, y + 14_000, x + PictureDrawing.PanelWidth - 800, y + 14_000, 200));
        shapes.Add(new Box(x + 2_200, y + 6_400, PictureDrawing.PanelWidth - 4_400, 6_600, BoxFill.None));
        shapes.Add(new Lettering(DoseText.Number(reading.Dialled.Value), x + middle, y + 10_300, 3_400, TextAnchor.Middle));
        shapes.Add(new Lettering(DoseText.Unit(reading.Unit, language), x + middle, y + 12_300, 1_300, TextAnchor.Middle));
    }
}
