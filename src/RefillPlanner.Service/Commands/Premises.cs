using System;
using System.Collections.Generic;
using System.CommandLine;
using System.Globalization;
using System.IO;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Settings;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Commands;

/// <summary>A command cannot go on; the message is for the person who typed it.</summary>
/// <param name="exitCode">One of <see cref="ExitCode"/>.</param>
/// <param name="message">One sentence, or one line a fault.</param>
public sealed class CommandException(int exitCode, string message) : Exception(message)
{
    /// <summary>With what the program ends.</summary>
    public int ExitCode => exitCode;
}

/// <summary>What every command stands on: the state folder with the database file, and the settings.</summary>
public sealed class Premises : IDisposable
{
    /// <summary>The database file in the state folder.</summary>
    public const string DatabaseFile = "refill-planner.db";

    private const string MailFolder = "mail";

    private Premises(string folder, Desk desk)
    {
        Folder = folder;
        Desk = desk;
    }

    /// <summary>The state folder; nothing is written outside it.</summary>
    public string Folder { get; }

    /// <summary>Database, settings, clock.</summary>
    public Desk Desk { get; }

    /// <summary>Where mail is dropped.</summary>
    public string DropFolder => Path.Combine(Folder, MailFolder);

    /// <summary>Opens the state folder, which is made where it is missing.</summary>
    /// <param name="folder">The folder; null: the user's state folder.</param>
    /// <param name="configFile">The configuration file; null: all defaults.</param>
    /// <param name="time">The one clock.</param>
    /// <exception cref="CommandException">Bad configuration, or a folder or database that cannot be used.</exception>
    public static Premises Open(string? folder, string? configFile, TimeProvider time)
    {
        var settings = ReadSettings(configFile);
        folder = FolderOf(folder);
        try
        {
            Directory.CreateDirectory(folder);
            if (!OperatingSystem.IsWindows())
                File.SetUnixFileMode(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
            var database = PlannerDatabase.Open(Path.Combine(folder, DatabaseFile), Instant.FromDateTimeOffset(time.GetUtcNow()));
            return new Premises(folder, new Desk(database, settings, time));
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new CommandException(ExitCode.CannotWrite, $"The folder {folder} cannot be written: {failure.Message}");
        }
        catch (SchemaException failure)
        {
            throw new CommandException(ExitCode.Away, failure.Message);
        }
    }

    /// <summary>The state folder's full path, whether or not it is there.</summary>
    /// <param name="folder">The folder; null: the user's state folder.</param>
    public static string FolderOf(string? folder) => Path.GetFullPath(folder ?? UserFolder());

    /// <summary>Reads the settings.</summary>
    /// <exception cref="CommandException">One line a fault.</exception>
    public static PlannerSettings ReadSettings(string? configFile)
    {
        var (settings, faults) = SettingsFile.Read(configFile);
        return faults.Count == 0 ? settings : throw new CommandException(ExitCode.BadConfiguration, string.Join('\n', faults));
    }

    /// <summary>The routes by which mail leaves: to the configured server, else to the folder.</summary>
    public MailRoutes OpenRoutes() => MailRoutes.Of(Desk.Settings.Mail, DropFolder, Desk.Time);

    /// <inheritdoc/>
    public void Dispose() => Desk.Database.Dispose();

    private static string UserFolder()
    {
        var state = Environment.GetEnvironmentVariable("XDG_STATE_HOME");
        if (string.IsNullOrEmpty(state))
        {
            state = OperatingSystem.IsWindows()
                ? Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData)
                : Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.UserProfile), ".local", "state");
        }

        return Path.Combine(state, "refill-planner");
    }
}

/// <summary>The options that several commands have.</summary>
internal static class SharedOptions
{
    public static Option<string?> Data() => new("--data") { Description = "Folder of the state: database file, dropped mail. Default: the user's state folder.", HelpName = "FOLDER" };

    public static Option<string?> Config() => new("--config") { Description = "Configuration file. Default: all defaults.", HelpName = "FILE" };

    public static Option<bool> Json() => new("--json") { Description = "Print JSON." };

    /// <summary>The clock from a minute on, or from 15:00 UTC of a date, when it is the same date in every zone of the Americas and Europe.</summary>
    public static Option<ShiftedClock?> Today(string description) => new("--today")
    {
        Description = description,
        HelpName = "DATE",
        CustomParser = result =>
        {
            var text = result.Tokens.Count > 0 ? result.Tokens[0].Value : string.Empty;
            if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date))
                return new ShiftedClock(new DateTimeOffset(date, new TimeOnly(15, 0), TimeSpan.Zero));
            if (DateTimeOffset.TryParseExact(text, "yyyy-MM-dd'T'HH:mm'Z'", CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var minute))
                return new ShiftedClock(minute);
            result.AddError($"--today: \"{text}\" is neither a date that exists, written as 2026-03-02, nor a minute of one, written as 2026-03-02T15:00Z.");
            return null;
        },
    };

    public static Option<LocalDate?> Date(string name, string description) => new(name)
    {
        Description = description,
        HelpName = "DATE",
        CustomParser = result =>
        {
            var parsed = LocalDatePattern.Iso.Parse(result.Tokens.Count > 0 ? result.Tokens[0].Value : string.Empty);
            if (parsed.Success)
                return parsed.Value;
            result.AddError($"{name}: \"{string.Join(' ', result.Tokens.Select(token => token.Value))}\" is no date that exists, written as 2026-03-02.");
            return null;
        },
    };
}
