namespace RefillPlanner.Benchmarks.Rows;

internal static class ImportRow
{
    public static void Measure(BenchmarkRun run) => run.Report.Skip("F10", "import", "not built yet");
}

internal static class FactImport
{
    public static int Child(string[] args) => args.Length;
}

internal static class BareImport
{
    public static int Child(string[] args) => args.Length;
}
