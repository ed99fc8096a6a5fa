namespace RefillPlanner.Service.Import;

/// <summary>Why a row, or a whole file, did not go in: the place, the value and the reason.</summary>
/// <param name="File">File name in the roster.</param>
/// <param name="Line">Physical line where the row begins; the header is line 1.</param>
/// <param name="Column">Column; empty where the row as a whole is meant.</param>
/// <param name="Value">What stood there.</param>
/// <param name="Reason">Why it cannot be taken.</param>
public sealed record Refusal(string File, long Line, string Column, string Value, string Reason)
{
    /// <summary>One line for a terminal, with nothing in it that a terminal would obey.</summary>
    public override string ToString()
    {
        var place = Column.Length > 0 ? $"{File}:{Line}, {Column}" : $"{File}:{Line}";
        return Value.Length > 0 ? $"{place}: \"{Printable.Of(Value)}\" - {Reason}" : $"{place}: {Reason}";
    }
}
