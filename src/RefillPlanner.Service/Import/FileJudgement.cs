using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Service.Import;

/// <summary>What has been judged of one file so far: how many rows were what, and which were refused.</summary>
internal sealed class FileJudgement
{
    private readonly Dictionary<int, (RosterRow Row, Refusal Refusal)> _refused = [];
    private readonly HashSet<string> _refusedIds = [];

    public FileJudgement(RosterSheet sheet)
    {
        Sheet = sheet;
        foreach (var (row, refusal) in sheet.BadRows)
            Refuse(row, refusal);
    }

    public RosterSheet Sheet { get; }

    public int New { get; set; }

    public int Updated { get; set; }

    public int Same { get; set; }

    /// <summary>Refused rows in the order of the file.</summary>
    public IEnumerable<(RosterRow Row, Refusal Refusal)> ListRefused() => _refused.OrderBy(refused => refused.Key).Select(refused => refused.Value);

    public int RefusedRows => _refused.Count;

    public bool IsRefused(RosterRow row) => _refused.ContainsKey(row.Line);

    /// <summary>Whether a row with this id was refused.</summary>
    public bool IsRefused(string id) => _refusedIds.Contains(id);

    /// <summary>Refuses a row; one that is refused already stays refused for its first reason.</summary>
    public void Refuse(RosterRow row, Refusal refusal)
    {
        if (_refused.TryAdd(row.Line, (row, refusal)))
            _refusedIds.Add(row.Id);
    }

    public void Refuse(RosterRow row, string column, string reason) => Refuse(row, row.Refuse(column, reason));

    /// <summary>Why an id that is not known is not known.</summary>
    public string WhyUnknown(string noun, string id) =>
        IsRefused(id) ? $"{noun} {id} was refused" : $"no {noun} {id} is on record or in this roster";
}
