using System;
using System.Collections.Generic;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>The rows, in the order in which they are measured, each with the names under which it can be asked for.</summary>
internal static class AllRows
{
    public static readonly IReadOnlyList<(string[] Names, Action<BenchmarkRun> Measure)> List =
    [
        (["F1"], WalkRow.Measure),
        (["F2"], PeersRow.Measure),
        (["F3", "F4", "F5"], ReplanRow.Measure),
        (["F6"], FactRow.Measure),
        (["F7"], RefillListRow.Measure),
        (["F8"], OutboxRow.Measure),
        (["F9"], StartRow.Measure),
        (["F10"], ImportRow.Measure),
    ];
}
