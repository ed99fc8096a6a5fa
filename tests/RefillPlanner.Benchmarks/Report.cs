using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using System.Text;

namespace RefillPlanner.Benchmarks;

/// <summary>What a ratio is to reach.</summary>
/// <param name="Value">The border, itself good.</param>
/// <param name="AtLeast">True: the ratio says how many times faster, more is better. False: less is better.</param>
internal readonly record struct Goal(double Value, bool AtLeast = false)
{
    public bool IsMetBy(double ratio) => AtLeast ? ratio >= Value : ratio <= Value;

    public override string ToString() => Value.ToString("#,##0.##", CultureInfo.InvariantCulture) + (AtLeast ? " or more" : " or less");
}

/// <summary>One line of the table.</summary>
/// <param name="Row">The measure it belongs to.</param>
/// <param name="Measure">What was measured.</param>
/// <param name="Ours">What the planner took.</param>
/// <param name="Peer">What it is compared with took.</param>
/// <param name="Ratio">The ratio; null: none, the line is there for reading.</param>
/// <param name="Goal">What it is to reach; null: no goal.</param>
internal sealed record ReportLine(string Row, string Measure, string Ours, string Peer, double? Ratio, Goal? Goal)
{
    public string RatioText => Ratio is double ratio ? ratio.ToString(ratio >= 100 ? "#,##0" : "0.00", CultureInfo.InvariantCulture) : string.Empty;

    public string GoalText => Goal?.ToString() ?? string.Empty;

    public string Verdict => Ratio is double ratio && Goal is Goal goal ? goal.IsMetBy(ratio) ? "met" : "not met" : string.Empty;
}

/// <summary>What came of a run: the table, what was passed over and why, and what was not as it should be.</summary>
internal sealed class Report
{
    private readonly List<ReportLine> _lines = [];
    private readonly List<string> _remarks = [];
    private readonly List<string> _faults = [];

    /// <summary>Whether all results were as they should be; times do not matter.</summary>
    public bool IsGood => _faults.Count == 0;

    /// <summary>Adds a line.</summary>
    public void Add(string row, string measure, string ours, string peer, double? ratio = null, Goal? goal = null)
    {
        var line = new ReportLine(row, measure, ours, peer, ratio, goal);
        _lines.Add(line);
        Console.WriteLine($"{row,-4}{measure}: {ours}{(peer.Length > 0 ? $" against {peer}" : peer)}{(ratio is null ? string.Empty : $" = {line.RatioText}")} {line.GoalText} {line.Verdict}".TrimEnd());
    }

    /// <summary>Says that something was not measured, and why.</summary>
    public void Skip(string row, string what, string why) => Remark($"{row}: {what} was skipped: {why}.");

    /// <summary>Adds a sentence about how it was measured.</summary>
    public void Remark(string text)
    {
        _remarks.Add(text);
        Console.WriteLine($"    {text}");
    }

    /// <summary>Looks at a result; false: the run ends with exit code 1.</summary>
    public void Check(string row, string what, bool isGood)
    {
        if (!isGood)
            _faults.Add($"{row}: {what}");
        Console.WriteLine($"{row,-4}{(isGood ? "ok" : "WRONG")}: {what}");
    }

    /// <summary>The table, remarks and faults as Markdown.</summary>
    public string ToMarkdown(string heading)
    {
        var text = new StringBuilder().AppendLine(heading).AppendLine();
        text.AppendLine("| # | measure | planner | against | ratio | goal | |").AppendLine("|---|---|---|---|---|---|---|");
        foreach (var line in _lines)
            text.AppendLine($"| {line.Row} | {line.Measure} | {line.Ours} | {line.Peer} | {line.RatioText} | {line.GoalText} | {line.Verdict} |");
        text.AppendLine();
        foreach (var remark in _remarks.Distinct())
            text.AppendLine($"- {remark}");
        foreach (var fault in _faults)
            text.AppendLine($"- **Wrong:** {fault}");
        return text.ToString();
    }

    /// <summary>Prints the table in columns, and what was wrong.</summary>
    public void Print(TextWriter output)
    {
        if (_lines.Count > 0)
            PrintTable(output);
        foreach (var fault in _faults)
            output.WriteLine($"WRONG {fault}");
    }

    private void PrintTable(TextWriter output)
    {
        string[][] cells = [["#", "measure", "planner", "against", "ratio", "goal", ""], .. _lines.Select(line => new[] { line.Row, line.Measure, line.Ours, line.Peer, line.RatioText, line.GoalText, line.Verdict })];
        var widths = Enumerable.Range(0, cells[0].Length).Select(column => cells.Max(row => row[column].Length)).ToArray();
        foreach (var row in cells)
            output.WriteLine(string.Join("  ", row.Select((cell, column) => cell.PadRight(widths[column]))).TrimEnd());
    }
}
