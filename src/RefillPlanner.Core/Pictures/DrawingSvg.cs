using System.Globalization;
using System.Text;

namespace RefillPlanner.Core.Pictures;

/// <summary>
/// Writes a drawing as SVG that can stand alone or inside a page: a role, a label, a title and a description for who listens, and inks for light and
/// dark; on paper it is light.
/// </summary>
public static class DrawingSvg
{
    /// <summary>Ink on light paper.</summary>
    public const string LightInk = "#1b2420";

    /// <summary>Light paper.</summary>
    public const string LightPaper = "#ffffff";

    /// <summary>Medicine on light paper.</summary>
    public const string LightTint = "#cfe3d8";

    /// <summary>Ink on dark paper.</summary>
    public const string DarkInk = "#e9efec";

    /// <summary>Dark paper.</summary>
    public const string DarkPaper = "#15191a";

    /// <summary>Medicine on dark paper.</summary>
    public const string DarkTint = "#2f4a3d";

    private const string Style =
        "<style>"
        + $".rp-paper{{fill:{LightPaper}}}.rp-ink,.rp-words{{fill:{LightInk}}}.rp-tint{{fill:{LightTint}}}.rp-line{{fill:none;stroke:{LightInk}}}"
        + ".rp-words{font-family:Verdana,\"DejaVu Sans\",sans-serif}"
        + $"@media screen and (prefers-color-scheme:dark){{.rp-paper{{fill:{DarkPaper}}}.rp-ink,.rp-words{{fill:{DarkInk}}}.rp-tint{{fill:{DarkTint}}}.rp-line{{stroke:{DarkInk}}}}}"
        + "</style>";

    /// <summary>Writes it.</summary>
    /// <param name="drawing">The drawing.</param>
    /// <param name="id">Begins the ids inside it; unique on its page; letters, digits and hyphens.</param>
    public static string Write(Drawing drawing, string id)
    {
        var svg = new StringBuilder();
        var (width, height) = (Pixels(drawing.Width), Pixels(drawing.Height));
        svg.Append(CultureInfo.InvariantCulture, $"<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-label=\"{Escape(drawing.Description)}\" aria-describedby=\"{id}-desc\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\">\n");
        svg.Append(CultureInfo.InvariantCulture, $"<title>{Escape(drawing.Title)}</title>\n<desc id=\"{id}-desc\">{Escape(drawing.Description)}</desc>\n{Style}\n");
        svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"rp-paper\" width=\"{width}\" height=\"{height}\"/>\n");
        foreach (var shape in drawing.Shapes)
            svg.Append(Write(shape)).Append('\n');
        return svg.Append("</svg>\n").ToString();
    }

    /// <summary>A length in pixels, with at most two decimals.</summary>
    internal static string Pixels(int hundredths)
    {
        var (whole, rest) = int.DivRem(int.Abs(hundredths), Drawing.PerPixel);
        var decimals = rest == 0 ? string.Empty : string.Create(CultureInfo.InvariantCulture, $".{rest:00}").TrimEnd('0');
        return string.Create(CultureInfo.InvariantCulture, $"{(hundredths < 0 ? "-" : string.Empty)}{whole}{decimals}");
    }

    private static string Write(Shape shape) => shape switch
    {
        Stroke line => $"<path class=\"rp-line\" stroke-width=\"{Pixels(line.Width)}\" d=\"M{Pixels(line.X1)} {Pixels(line.Y1)}L{Pixels(line.X2)} {Pixels(line.Y2)}\"/>",
        Box box => $"<rect class=\"{Class(box.Fill)}\" x=\"{Pixels(box.X)}\" y=\"{Pixels(box.Y)}\" width=\"{Pixels(box.Width)}\" height=\"{Pixels(box.Height)}\"/>",
        ArrowHead head => $"<path class=\"rp-ink\" d=\"M{Pixels(head.X)} {Pixels(head.Y)}L{Pixels(head.X + head.Size)} {Pixels(head.Y - head.Size / 2)}L{Pixels(head.X + head.Size)} {Pixels(head.Y + head.Size / 2)}Z\"/>",
        Lettering text => $"<text class=\"rp-words\" x=\"{Pixels(text.X)}\" y=\"{Pixels(text.Y)}\" font-size=\"{Pixels(text.Size)}\"{Anchor(text.Anchor)}>{Escape(text.Text)}</text>",
        _ => string.Empty,
    };

    private static string Class(BoxFill fill) => fill switch
    {
        BoxFill.Ink => "rp-ink",
        BoxFill.Tint => "rp-tint",
        _ => "rp-line",
    };

    private static string Anchor(TextAnchor anchor) => anchor switch
    {
        TextAnchor.Middle => " text-anchor=\"middle\"",
        TextAnchor.End => " text-anchor=\"end\"",
        _ => string.Empty,
    };

    private static string Escape(string text) => text
        .Replace("&", "&amp;", System.StringComparison.Ordinal)
        .Replace("<", "&lt;", System.StringComparison.Ordinal)
        .Replace(">", "&gt;", System.StringComparison.Ordinal)
        .Replace("\"", "&quot;", System.StringComparison.Ordinal);
}
