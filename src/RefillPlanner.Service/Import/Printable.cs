using System.Globalization;
using System.Linq;

namespace RefillPlanner.Service.Import;

/// <summary>Characters that may stand in a name or a note, and what is shown in place of those that may not.</summary>
public static class Printable
{
    private const int LongestShown = 80;

    /// <summary>Whether a text holds control characters or overrides of the reading direction.</summary>
    public static bool HasForbidden(string text) => text.Any(IsForbidden);

    /// <summary>A text safe to print: forbidden characters as <c>?</c>, cut after 80.</summary>
    public static string Of(string text)
    {
        var shown = string.Concat(text.Take(LongestShown).Select(letter => IsForbidden(letter) ? '?' : letter));
        return text.Length > LongestShown ? shown + "..." : shown;
    }

    private static bool IsForbidden(char letter) =>
        char.IsControl(letter) || char.GetUnicodeCategory(letter) is UnicodeCategory.Format or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator;
}
