using System.Globalization;
using System.Text;

namespace RefillPlanner.Service.Import;

/// <summary>Why a row, or a whole file, of a roster does not go in. One row is refused once, for its first fault in column order.</summary>
/// <param name="File">Name of the file, such as <c>facts.csv</c>.</param>
/// <param name="Line">Physical line on which the row starts; the header is line 1.</param>
/// <param name="Column">The column at fault; empty when it is the file.</param>
/// <param name="Value">What stood there, as read, at most 200 characters of it. May hold control characters: see <see cref="PrintableValue"/>.</param>
/// <param name="Reason">One sentence that says what would be right.</param>
public sealed record Refusal(string File, int Line, string Column, string Value, string Reason)
{
    /// <summary>The value with control characters and bidirectional overrides written as <c>\u001B</c>, safe for a terminal.</summary>
    public string PrintableValue => Printable(Value);

    /// <summary>The reason, written in the same way: it may quote what was read.</summary>
    public string PrintableReason => Printable(Reason);

    /// <inheritdoc/>
    public override string ToString() => $"{File}:{Line} {Column} '{PrintableValue}': {PrintableReason}";

    private static string Printable(string text)
    {
        var printable = new StringBuilder(text.Length);
        foreach (var letter in text)
        {
            if (TextValue.IsHidden(letter))
                printable.Append("\\u").Append(((int)letter).ToString("X4", CultureInfo.InvariantCulture));
            else
                printable.Append(letter);
        }

        return printable.ToString();
    }
}
