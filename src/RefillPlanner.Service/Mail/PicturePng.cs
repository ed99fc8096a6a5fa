using System;
using System.IO;
using System.Reflection;
using RefillPlanner.Core.Pictures;
using SkiaSharp;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// A drawing as a PNG for mail, twice as fine as its pixels, in ink on light paper: readers in dark mode see a light card. The same drawing gives the
/// same bytes. Letters come from the font that this program carries, so that a machine without fonts draws the same.
/// </summary>
public static class PicturePng
{
    private const float Scale = 2f / Drawing.PerPixel;
    private static readonly Lazy<SKTypeface> Letters = new(ReadFont);

    /// <summary>Paints it.</summary>
    public static byte[] Paint(Drawing drawing)
    {
        using var bitmap = new SKBitmap((int)Of(drawing.Width), (int)Of(drawing.Height), SKColorType.Rgba8888, SKAlphaType.Opaque);
        using var canvas = new SKCanvas(bitmap);
        canvas.Clear(SKColor.Parse(DrawingSvg.LightPaper));
        foreach (var shape in drawing.Shapes)
            Paint(canvas, shape);
        canvas.Flush();
        using var png = bitmap.Encode(SKEncodedImageFormat.Png, 100);
        return png.ToArray();
    }

    private static void Paint(SKCanvas canvas, Shape shape)
    {
        using var ink = new SKPaint { IsAntialias = true, Color = SKColor.Parse(DrawingSvg.LightInk), StrokeWidth = Of(Drawing.PerPixel) };
        switch (shape)
        {
            case Stroke line:
                ink.StrokeWidth = Of(line.Width);
                canvas.DrawLine(Of(line.X1), Of(line.Y1), Of(line.X2), Of(line.Y2), ink);
                break;
            case Box box:
                ink.IsStroke = box.Fill == BoxFill.None;
                if (box.Fill == BoxFill.Tint)
                    ink.Color = SKColor.Parse(DrawingSvg.LightTint);
                canvas.DrawRect(Of(box.X), Of(box.Y), Of(box.Width), Of(box.Height), ink);
                break;
            case ArrowHead head:
                using (var path = new SKPathBuilder())
                {
                    path.MoveTo(Of(head.X), Of(head.Y));
                    path.LineTo(Of(head.X + head.Size), Of(head.Y - head.Size / 2));
                    path.LineTo(Of(head.X + head.Size), Of(head.Y + head.Size / 2));
                    path.Close();
                    using var whole = path.Detach();
                    canvas.DrawPath(whole, ink);
                }

                break;
            case Lettering text:
                using (var font = new SKFont(Letters.Value, Of(text.Size)) { Subpixel = true, Hinting = SKFontHinting.None })
                    canvas.DrawText(text.Text, Of(text.X), Of(text.Y), Align(text.Anchor), font, ink);
                break;
            default:
                throw new ArgumentException($"A picture has no way to paint {shape}.", nameof(shape));
        }
    }

    private static float Of(int hundredths) => hundredths * Scale;

    private static SKTextAlign Align(TextAnchor anchor) => anchor switch
    {
        TextAnchor.Middle => SKTextAlign.Center,
        TextAnchor.End => SKTextAlign.Right,
        _ => SKTextAlign.Left,
    };

    private static SKTypeface ReadFont()
    {
        using var font = Assembly.GetExecutingAssembly().GetManifestResourceStream("fonts/picture.otf") ?? throw new InvalidOperationException("The font of pictures is not in the program.");
        return SKTypeface.FromStream(font) ?? throw new InvalidOperationException("The font of pictures cannot be read.");
    }
}
