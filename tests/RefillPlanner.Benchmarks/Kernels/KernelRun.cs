using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Jobs;
using BenchmarkDotNet.Running;
using BenchmarkDotNet.Toolchains.InProcess.Emit;

namespace RefillPlanner.Benchmarks.Kernels;

/// <summary><c>--kernels</c>: single computations under BenchmarkDotNet, in this process, so that nothing is built on the way.</summary>
internal static class KernelRun
{
    public static int Start(string[] args)
    {
        var config = DefaultConfig.Instance.AddJob(Job.Default.WithToolchain(InProcessEmitToolchain.Instance)).WithArtifactsPath(System.IO.Path.Combine("artifacts", "kernels"));
        BenchmarkSwitcher.FromTypes([typeof(CourseKernels)]).Run(args.Length > 0 ? args : ["--filter", "*"], config);
        return 0;
    }
}
