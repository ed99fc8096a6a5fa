using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using RefillPlanner.Service.Commands;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>The built program itself, started as a process of its own.</summary>
internal static class RealProgram
{
    /// <summary>How long a test waits for anything before it gives up. A limit of patience, not a measurement.</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromSeconds(120);

    private static readonly string Program = typeof(ExitCode).Assembly.Location;
    private static readonly string Folder = Path.GetDirectoryName(Program)!;

    /// <summary>Prepares a process of the program.</summary>
    /// <param name="arguments">Its arguments.</param>
    /// <param name="orders">What is to happen to it; none: the program as it is, with nothing put into it.</param>
    /// <param name="pointsFile">A file that gets a line for each point passed; null: none.</param>
    public static Process Prepare(IEnumerable<string> arguments, IReadOnlyCollection<FaultOrder> orders, string? pointsFile)
    {
        var start = new ProcessStartInfo("dotnet", [Program, .. arguments])
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        if (orders.Count > 0 || pointsFile is not null)
            start.Environment["DOTNET_STARTUP_HOOKS"] = Path.Combine(Folder, "RefillPlanner.CrashHook.dll");
        foreach (var (name, value) in orders.SelectMany(order => order.Environment()))
            start.Environment[name] = value;
        if (pointsFile is not null)
            start.Environment["REFILL_FAULT_LOG"] = pointsFile;
        return new Process { StartInfo = start };
    }

    /// <summary>Runs a command to its end.</summary>
    public static Task<(int ExitCode, string Output, string Errors)> RunAsync(params IEnumerable<string> arguments) => RunAsync(Prepare(arguments, [], pointsFile: null));

    /// <summary>Runs a prepared command to its end.</summary>
    public static async Task<(int ExitCode, string Output, string Errors)> RunAsync(Process prepared)
    {
        using var process = prepared;
        process.Start();
        var output = process.StandardOutput.ReadToEndAsync();
        var errors = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync().WaitAsync(Patience);
        return (process.ExitCode, await output, await errors);
    }

    /// <summary>Writes a random roster with the generator.</summary>
    public static async Task GenerateRosterAsync(string folder, int courses, int seed, string today)
    {
        var generator = new ProcessStartInfo("dotnet", [Path.Combine(Folder, "RefillPlanner.Roster.dll"), "--courses", $"{courses}", "--seed", $"{seed}", "--today", today, "--out", folder])
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        var (code, _, errors) = await RunAsync(new Process { StartInfo = generator });
        if (code != 0)
            throw new InvalidOperationException($"The roster was not written: {errors}");
    }
}
