using System;
using System.Collections.Generic;
using System.ComponentModel;
using System.Diagnostics;
using System.IO;

namespace RefillPlanner.Benchmarks.Measuring;

/// <summary>How a program of its own ended.</summary>
/// <param name="ExitCode">Its exit code.</param>
/// <param name="Output">What it wrote to its standard output.</param>
/// <param name="Errors">What it wrote to its standard error.</param>
internal sealed record ChildRun(int ExitCode, string Output, string Errors);

/// <summary>Runs other programs and waits for them.</summary>
internal static class ChildProgram
{
    /// <summary>Runs a program that must succeed.</summary>
    /// <exception cref="InvalidOperationException">It is not there, or it failed.</exception>
    public static ChildRun Run(string program, IReadOnlyList<string> arguments, string? folder = null)
    {
        var run = TryRun(program, arguments, folder) ?? throw new InvalidOperationException($"There is no program {program}.");
        return run.ExitCode == 0 ? run : throw new InvalidOperationException($"{Path.GetFileName(program)} ended with {run.ExitCode}: {run.Errors}{run.Output}");
    }

    /// <summary>Runs a program; null: it is not there.</summary>
    public static ChildRun? TryRun(string program, IReadOnlyList<string> arguments, string? folder = null)
    {
        var start = new ProcessStartInfo(program, arguments) { UseShellExecute = false, RedirectStandardOutput = true, RedirectStandardError = true, WorkingDirectory = folder ?? string.Empty };
        try
        {
            using var process = Process.Start(start)!;
            var errors = process.StandardError.ReadToEndAsync();
            var output = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            return new ChildRun(process.ExitCode, output, errors.Result);
        }
        catch (Win32Exception)
        {
            return null;
        }
    }

    /// <summary>Runs this very program again, in a process of its own.</summary>
    public static ChildRun RunSelf(params string[] arguments) =>
        Path.GetFileNameWithoutExtension(Environment.ProcessPath) == "dotnet"
            ? Run(Environment.ProcessPath!, [typeof(ChildProgram).Assembly.Location, .. arguments])
            : Run(Environment.ProcessPath!, arguments);
}
