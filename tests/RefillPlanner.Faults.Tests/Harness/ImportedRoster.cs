using System;
using System.Collections.Concurrent;
using System.IO;
using System.Runtime.Versioning;
using System.Threading.Tasks;
using RefillPlanner.Faults.Tests.Harness;
using RefillPlanner.Service.Commands;
using Xunit;

[assembly: AssemblyFixture(typeof(ImportedRoster))]
[assembly: SupportedOSPlatform("linux")] // Signals, /proc and a tmpfs.

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>State folders into which a roster was taken by the real program, each made once and then copied for every test that wants it.</summary>
public sealed class ImportedRoster : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-faults-");
    private readonly ConcurrentDictionary<(int Courses, int Seed), Lazy<Task<string>>> _made = [];

    /// <summary>The folder with <c>roster</c> and <c>state</c> of a size and seed; not to be changed.</summary>
    internal Task<string> FolderAsync(int courses, int seed) =>
        _made.GetOrAdd((courses, seed), key => new Lazy<Task<string>>(() => MakeAsync(Path.Combine(_folder.FullName, $"{key.Courses}-{key.Seed}"), key.Courses, key.Seed))).Value;

    /// <inheritdoc/>
    public void Dispose() => _folder.Delete(recursive: true);

    private static async Task<string> MakeAsync(string folder, int courses, int seed)
    {
        var roster = Path.Combine(folder, "roster");
        await FaultRoster.WriteAsync(roster, courses, seed);
        var (code, output, errors) = await RealProgram.RunAsync("import", roster, "--data", Path.Combine(folder, "state"), "--today", "2026-03-01T15:00Z");
        if (code != ExitCode.Done)
            throw new InvalidOperationException($"The roster was not taken in, {code}: {output}{errors}");
        return folder;
    }
}
