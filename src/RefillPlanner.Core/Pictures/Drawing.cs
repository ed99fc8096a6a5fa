using System.Collections.Generic;

namespace RefillPlanner.Core.Pictures;

/// <summary>
/// A drawing as a list of shapes, from which both the SVG and the PNG are made. Every length is a whole number of hundredths of a pixel; x grows to
/// the right, y downwards.
/// </summary>
/// <param name="Width">Its width.</param>
/// <param name="Height">Its height.</param>
/// <param name="Shapes">What is drawn, the later over the earlier.</param>
/// <param name="Title">What it is, in a few words.</param>
/// <param name="Description">The same in words for who does not see it: complete without the picture.</param>
public sealed record Drawing(int Width, int Height, IReadOnlyList<Shape> Shapes, string Title, string Description)
{
    /// <summary>Hundredths in a pixel.</summary>
    public const int PerPixel = 100;
}

/// <summary>A part of a drawing.</summary>
public abstract record Shape;

/// <summary>A straight line.</summary>
public sealed record Stroke(int X1, int Y1, int X2, int Y2, int Width) : Shape;

/// <summary>How a box is filled.</summary>
public enum BoxFill
{
    /// <summary>Not filled, with a line around it.</summary>
    None,

    /// <summary>Filled with ink.</summary>
    Ink,

    /// <summary>Filled with a light tint: medicine. Nothing is said by it that the lines do not say.</summary>
    Tint,
}

/// <summary>An upright rectangle.</summary>
public sealed record Box(int X, int Y, int Width, int Height, BoxFill Fill) : Shape;

/// <summary>A solid arrow head that points to the left.</summary>
/// <param name="X">The tip.</param>
/// <param name="Y">The tip.</param>
/// <param name="Size">Its length and its height.</param>
public sealed record ArrowHead(int X, int Y, int Size) : Shape;

/// <summary>Which point of its text a place names.</summary>
public enum TextAnchor
{
    /// <summary>Its left end.</summary>
    Start,

    /// <summary>Its middle.</summary>
    Middle,

    /// <summary>Its right end.</summary>
    End,
}

/// <summary>Text on one line.</summary>
/// <param name="Text">The text.</param>
/// <param name="X">The point that <paramref name="Anchor"/> names.</param>
/// <param name="Y">The line on which its letters stand.</param>
/// <param name="Size">Size of the letters.</param>
/// <param name="Anchor">Which point of the text stands at X.</param>
public sealed record Lettering(string Text, int X, int Y, int Size, TextAnchor Anchor) : Shape;
