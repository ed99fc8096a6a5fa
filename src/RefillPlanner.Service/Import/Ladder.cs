using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>The rows of a ladder that is not on record.</summary>
internal sealed class Ladder
{
    private readonly List<(RosterRow Row, Step Step)> _rows = [];

    /// <summary>The step of a refused row, as written; null: none was refused.</summary>
    public string? BrokenAt { get; set; }

    public bool IsGood => BrokenAt is null && _rows.Count > 0;

    public void Add(RosterRow row, Step step) => _rows.Add((row, step));

    public IEnumerable<Step> ListSteps() => _rows.Select(pair => pair.Step);

    /// <summary>Judges the rows as a whole: doubles, order, and whether a refused row may have been the next step of this ladder.</summary>
    public void Judge(FileJudgement steps, bool swallowed, List<int?> astray)
    {
        DropDoubles(steps);
        if (BrokenAt is null)
            JudgeOrder(steps);
        if (BrokenAt is null && (swallowed || astray.Exists(step => step is null || step == _rows.Count + 1)))
            BrokenAt = "";
        if (BrokenAt is not null)
            Refuse(steps, "step", BrokenAt.Length > 0 ? $"step {BrokenAt} of this ladder was refused" : "a refused row may be a step of this ladder");
    }

    public void Refuse(FileJudgement steps, string column, string reason)
    {
        foreach (var (row, _) in _rows)
            steps.Refuse(row, column, reason);
    }

    private void DropDoubles(FileJudgement steps)
    {
        var first = new Dictionary<int, (RosterRow Row, Step Step)>();
        foreach (var (row, step) in _rows)
        {
            if (first.TryAdd(step.Number, (row, step)))
                continue;
            if (SameContent.Of(first[step.Number].Step, step))
                steps.Same++;
            else
                Break(steps, row, "step", $"the step stands in line {first[step.Number].Row.Line} with other content");
        }

        _rows.Clear();
        _rows.AddRange(first.Values);
        _rows.Sort((one, other) => one.Step.Number.CompareTo(other.Step.Number));
    }

    private void JudgeOrder(FileJudgement steps)
    {
        for (var i = 0; i < _rows.Count && BrokenAt is null; i++)
        {
            var (row, step) = _rows[i];
            if (step.Number != i + 1)
                Break(steps, row, "step", $"steps out of order: step {i + 1} of ladder {step.Ladder} is missing");
            else if (step.DoseDays is null && i + 1 < _rows.Count)
                Break(steps, row, "dose_days", "is missing: only the last step may leave it blank");
        }
    }

    private void Break(FileJudgement steps, RosterRow row, string column, string reason)
    {
        steps.Refuse(row, column, reason);
        BrokenAt ??= row["step"];
    }
}
