using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Service.Import;

/// <summary>What became of the rows of one file.</summary>
public sealed record FileCount(string File)
{
    /// <summary>Rows whose id was not on record.</summary>
    public int New { get; set; }

    /// <summary>Rows that are on record just so.</summary>
    public int Same { get; set; }

    /// <summary>Rows that took the place of other content.</summary>
    public int Updated { get; set; }

    /// <summary>Rows refused.</summary>
    public int Refused { get; set; }
}

/// <summary>What became of a roster: the counts of each file, and each refusal with its raw row.</summary>
public sealed class RosterReport
{
    private readonly Dictionary<string, FileCount> _counts = RosterFiles.Names.ToDictionary(name => name, name => new FileCount(name));
    private readonly List<(Refusal Refusal, string? Raw)> _refused = [];
    private readonly List<Refusal> _refusals = [];

    /// <summary>The counts, in the order of the files.</summary>
    public IReadOnlyList<FileCount> Counts => [.. RosterFiles.Names.Select(name => _counts[name])];

    /// <summary>The refusals, in the order found.</summary>
    public IReadOnlyList<Refusal> Refusals => _refusals;

    /// <summary>The headers of the files read.</summary>
    public Dictionary<string, string> Headers { get; } = [];

    /// <summary>The refused rows of a file exactly as read, in the order of their lines.</summary>
    public IEnumerable<string> ListRefusedRows(string file) =>
        _refused.Where(item => item.Refusal.File == file && item.Raw is not null).OrderBy(item => item.Refusal.Line).Select(item => item.Raw!);

    internal FileCount Of(string file) => _counts[file];

    internal void Refuse(Refusal refusal, string? raw)
    {
        _refusals.Add(refusal);
        _refused.Add((refusal, raw));
        if (_counts.TryGetValue(refusal.File, out var count))
            count.Refused++;
    }

    internal void Refuse(RosterRow row, string column, string reason) =>
        Refuse(new Refusal(row.File, row.Line, column, row.Fields.TryGetValue(column, out var value) ? value : string.Empty, reason), row.Raw);
}
