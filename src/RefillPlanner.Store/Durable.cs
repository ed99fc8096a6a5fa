using System;
using System.IO;
using System.Runtime.InteropServices;
using System.Text;

namespace RefillPlanner.Store;

/// <summary>Files and names that are still there after the power has failed.</summary>
internal static class Durable
{
    /// <summary>Returns when what a file holds is on the disk.</summary>
    public static void Flush(string file)
    {
        using var stream = new FileStream(file, FileMode.Open, FileAccess.ReadWrite, FileShare.Read);
        stream.Flush(flushToDisk: true);
    }

    /// <summary>Returns when the names in a folder are on the disk. Windows sees to that itself.</summary>
    /// <exception cref="IOException">The system refuses.</exception>
    public static void FlushFolder(string folder)
    {
        if (OperatingSystem.IsWindows())
            return;
        var opened = Open(Encoding.UTF8.GetBytes(folder + '\0'), flags: 0);
        if (opened < 0)
            throw new IOException($"The folder {folder} cannot be opened (error {Marshal.GetLastPInvokeError()}).");
        try
        {
            if (Sync(opened) < 0)
                throw new IOException($"The folder {folder} cannot be made durable (error {Marshal.GetLastPInvokeError()}).");
        }
        finally
        {
            _ = Close(opened);
        }
    }

    [DllImport("libc", EntryPoint = "open", SetLastError = true)]
    private static extern int Open(byte[] path, int flags);

    [DllImport("libc", EntryPoint = "fsync", SetLastError = true)]
    private static extern int Sync(int descriptor);

    [DllImport("libc", EntryPoint = "close", SetLastError = true)]
    private static extern int Close(int descriptor);
}
