using System.IO;

namespace RefillPlanner.Benchmarks.Measuring;

/// <summary>The operating system's file cache.</summary>
internal static class FileCache
{
    /// <summary>Reads a file once from end to end, so that what is measured next finds it in memory.</summary>
    public static void Warm(string file)
    {
        var buffer = new byte[1 << 20];
        using var stream = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, bufferSize: 0);
        while (stream.Read(buffer, 0, buffer.Length) > 0)
        {
        }
    }
}
