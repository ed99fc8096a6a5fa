using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using NodaTime;

namespace RefillPlanner.Service.Work.Checks;

/// <summary>The state folder: its rights, the room on its disk, and what the service last said in it.</summary>
/// <param name="folder">The state folder.</param>
/// <param name="databaseFile">The database file in it.</param>
/// <param name="now">The present instant.</param>
public sealed class FolderChecks(string folder, string databaseFile, Instant now)
{
    private const long Mebibyte = 1024 * 1024;
    private const long FewBytes = 1024 * Mebibyte;
    private const long TooFewBytes = 100 * Mebibyte;

    // A backup is a second file of the size of the first.
    private const int RoomForCopies = 2;
    private const UnixFileMode OfOthers = UnixFileMode.GroupRead | UnixFileMode.GroupWrite | UnixFileMode.OtherRead | UnixFileMode.OtherWrite;
    private static readonly Duration LongestSilence = Duration.FromMinutes(3);

    /// <summary>Looks at all of it.</summary>
    public IEnumerable<CheckRow> Run()
    {
        yield return Rights();
        yield return Room();
        yield return Service();
    }

    // The database file is opened for writing, and nothing is written.
    private CheckRow Rights()
    {
        const string Name = "folder";
        if (!Directory.Exists(folder))
            return CheckRow.Bad(Name, $"{folder} is not there", "Name the state folder with --data, or start the service once: it makes the folder.");
        try
        {
            if (File.Exists(databaseFile))
                new FileStream(databaseFile, FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite | FileShare.Delete).Dispose();
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return CheckRow.Bad(Name, $"the database file cannot be written: {failure.Message}", $"Give {folder} to the user under whom the service runs, or run this check as that user.");
        }

        if (!OperatingSystem.IsWindows() && (File.GetUnixFileMode(folder) & OfOthers) != UnixFileMode.None)
            return CheckRow.Warn(Name, $"others on this machine may read {folder}", $"chmod 700 {folder}");
        return CheckRow.Ok(Name, $"{folder} may be written, and only its owner reads it");
    }

    private CheckRow Room()
    {
        const string Name = "disk";
        if (!Directory.Exists(folder))
            return CheckRow.Warn(Name, "not looked at: there is no folder", "See above.");
        var free = new DriveInfo(folder).AvailableFreeSpace;
        var size = File.Exists(databaseFile) ? new FileInfo(databaseFile).Length : 0;
        var seen = $"{free / Mebibyte} MB free, the database has {size / Mebibyte} MB";
        if (free < TooFewBytes)
            return CheckRow.Bad(Name, seen, "Make room: on a full disk nothing is planned and nothing is sent.");
        return free < Math.Max(FewBytes, size * RoomForCopies)
            ? CheckRow.Warn(Name, seen, "Make room: a backup or a new version takes a copy of the database.")
            : CheckRow.Ok(Name, seen);
    }

    private CheckRow Service()
    {
        const string Name = "service";
        const string Start = "Start the service, and see its log where it has stopped.";
        var file = Path.Combine(folder, Health.FileName);
        var words = File.Exists(file) ? File.ReadAllText(file).Trim() : string.Empty;
        if (words.Split(' ') is not [var state, var at, ..] || !NodaTime.Text.InstantPattern.General.Parse(at).TryGetValue(default, out var said))
            return CheckRow.Warn(Name, "it has never said how it is: there is no health file", Start);
        if (now - said > LongestSilence)
            return CheckRow.Bad(Name, string.Create(CultureInfo.InvariantCulture, $"it has said nothing for {(long)(now - said).TotalMinutes} minutes; its last word was: {words}"), Start);
        return state == "ok" ? CheckRow.Ok(Name, words) : CheckRow.Bad(Name, words, "See the log: a round hangs or fails, or the database cannot be used.");
    }
}
