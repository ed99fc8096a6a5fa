using System;
using System.IO;

namespace RefillPlanner.Service.Commands;

/// <summary>
/// One service on one folder: it holds a lock on a file for as long as it lives. The system frees the lock when the process ends, however it ends.
/// </summary>
internal static class RunLock
{
    /// <summary>The file in the state folder.</summary>
    public const string FileName = "run.lock";

    // What the systems answer when another process holds the lock: a sharing violation, EWOULDBLOCK on Linux, EWOULDBLOCK on macOS.
    private static readonly int[] HeldResults = [unchecked((int)0x80070020), 11, 35];

    /// <summary>Takes the lock; disposing gives it back.</summary>
    /// <returns>The lock; null: another service holds it.</returns>
    /// <exception cref="CommandException">The file cannot be made.</exception>
    public static IDisposable? TryTake(string folder)
    {
        try
        {
            return new FileStream(Path.Combine(folder, FileName), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException held) when (Array.IndexOf(HeldResults, held.HResult) >= 0)
        {
            return null;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new CommandException(ExitCode.CannotWrite, $"The lock file in {folder} cannot be made: {failure.Message}");
        }
    }
}
