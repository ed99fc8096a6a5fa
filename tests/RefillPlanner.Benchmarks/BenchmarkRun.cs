namespace RefillPlanner.Benchmarks;

/// <summary>What a row works with.</summary>
/// <param name="Options">What is to be measured.</param>
/// <param name="Workplace">The files.</param>
/// <param name="Report">Where results go.</param>
internal sealed record BenchmarkRun(BenchmarkOptions Options, Workplace Workplace, Report Report);
