using System.Collections.Generic;

namespace RefillPlanner.Service.Import;

/// <summary>What became of the rows of one file.</summary>
/// <param name="File">Name of the file.</param>
/// <param name="New">Rows of ids not on record.</param>
/// <param name="Updated">Rows that replace what is on record.</param>
/// <param name="Same">Rows on record already, or there twice.</param>
/// <param name="Refused">Rows refused; 0 for a file that was refused as a whole.</param>
public sealed record FileCounts(string File, int New, int Updated, int Same, int Refused);

/// <summary>What became of a roster.</summary>
public sealed record JudgedRoster
{
    /// <summary>The most refusals that are listed: however many rows are bad, a person reads no more, and the others are written with the refused rows.</summary>
    public const int MostListed = 1000;

    /// <summary>What is refused and why, by file in order, then by line; at most <see cref="MostListed"/>.</summary>
    public required IReadOnlyList<Refusal> Refusals { get; init; }

    /// <summary>How many refusals there are.</summary>
    public required int RefusalCount { get; init; }

    /// <summary>Counts of each file that the roster has.</summary>
    public required IReadOnlyList<FileCounts> Counts { get; init; }
}
