using System;
using System.Diagnostics;
using System.IO;
using System.Threading.Tasks;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>A disk of its own in memory, which can be filled to the last byte. Only root may mount one.</summary>
internal sealed class SmallDisk : IAsyncDisposable
{
    private const int Megabytes = 24;
    private readonly DirectoryInfo _folder;

    private SmallDisk(DirectoryInfo folder) => _folder = folder;

    /// <summary>Where it is.</summary>
    public string Folder => _folder.FullName;

    private string Filler => Path.Combine(Folder, "filler");

    /// <summary>Mounts one; null: it cannot be done here.</summary>
    public static async Task<SmallDisk?> TryMountAsync()
    {
        var folder = Directory.CreateTempSubdirectory("refill-planner-disk-");
        if (Environment.UserName == "root" && await RunAsync("mount", "-t", "tmpfs", "-o", $"size={Megabytes}m", "tmpfs", folder.FullName) == 0)
            return new SmallDisk(folder);
        folder.Delete();
        return null;
    }

    /// <summary>Fills it.</summary>
    public void Fill()
    {
        using var filler = new FileStream(Filler, FileMode.Append, FileAccess.Write, FileShare.None, bufferSize: 0);
        foreach (var bytes in new[] { 65_536, 4_096, 1 })
        {
            try
            {
                while (true)
                    filler.Write(new byte[bytes]);
            }
            catch (IOException)
            {
                // No room for so many bytes: fewer may still fit.
            }
        }
    }

    /// <summary>Makes room again.</summary>
    public void Free() => File.Delete(Filler);

    public async ValueTask DisposeAsync()
    {
        await RunAsync("umount", "--lazy", Folder);
        _folder.Delete(recursive: true);
    }

    private static async Task<int> RunAsync(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true, UseShellExecute = false })!;
        await process.WaitForExitAsync().WaitAsync(RealProgram.Patience);
        return process.ExitCode;
    }
}
