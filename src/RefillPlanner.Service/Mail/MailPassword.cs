using System;
using System.IO;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// Where the password of the mail account, and of the mailbox, comes from: the file that the settings name; else the environment; else the
/// credential that systemd hands over (<c>LoadCredential=mail_password:...</c>). Read anew for each connection, so that a changed one is seen.
/// </summary>
public static class MailPassword
{
    /// <summary>The variable that may hold it.</summary>
    public const string Variable = "REFILL_PLANNER_MAIL_PASSWORD";

    /// <summary>The name of systemd's credential that may hold it.</summary>
    public const string Credential = "mail_password";

    /// <summary>The variable that may hold that of the mailbox.</summary>
    public const string MailboxVariable = "REFILL_PLANNER_MAILBOX_PASSWORD";

    /// <summary>The name of systemd's credential that may hold that of the mailbox.</summary>
    public const string MailboxCredential = "mailbox_password";

    private const string CredentialsFolder = "CREDENTIALS_DIRECTORY";
    private const UnixFileMode Others = UnixFileMode.GroupRead | UnixFileMode.GroupWrite | UnixFileMode.OtherRead | UnixFileMode.OtherWrite;

    /// <summary>Reads that of the mail account.</summary>
    /// <param name="settings">The mail settings.</param>
    /// <param name="environment">The value of a variable; null: the program's environment.</param>
    /// <returns>The password, or why there is none.</returns>
    public static (string? Password, string? WhyNot) Read(MailSettings settings, Func<string, string?>? environment = null) =>
        Read("mail", settings.PasswordFile, settings.User, Variable, Credential, environment ?? Environment.GetEnvironmentVariable);

    /// <summary>Reads that of the mailbox.</summary>
    /// <param name="settings">The settings of the mailbox.</param>
    /// <param name="environment">The value of a variable; null: the program's environment.</param>
    /// <returns>The password, or why there is none.</returns>
    public static (string? Password, string? WhyNot) Read(MailboxSettings settings, Func<string, string?>? environment = null) =>
        Read("mailbox", settings.PasswordFile, settings.User, MailboxVariable, MailboxCredential, environment ?? Environment.GetEnvironmentVariable);

    /// <summary>Why a file may not hold a password; null: it may.</summary>
    public static string? WhyRefused(string file)
    {
        if (!File.Exists(file))
            return "there is no such file";
        if (OperatingSystem.IsWindows() || File.GetUnixFileMode(file) is var mode && (mode & Others) == UnixFileMode.None)
            return null;
        var readers = (mode & (UnixFileMode.OtherRead | UnixFileMode.OtherWrite)) != UnixFileMode.None ? "everybody on this machine" : "its group";
        return $"its mode {Convert.ToString((int)mode, 8).PadLeft(4, '0')} lets {readers} at it; set it to 0600";
    }

    private static (string? Password, string? WhyNot) Read(string section, string? named, string? user, string variable, string credential, Func<string, string?> environment)
    {
        if (named is string file)
            return WhyRefused(file) is string reason ? (null, $"password_file {file}: {reason}") : ReadFile(file);
        if (environment(variable) is { Length: > 0 } password)
            return (password, null);
        return environment(CredentialsFolder) is { Length: > 0 } folder && Path.Combine(folder, credential) is var handed && File.Exists(handed)
            ? ReadFile(handed)
            : (null, $"there is no password for {user}: set {section}.password_file, the variable {variable} or the systemd credential {credential}");
    }

    private static (string? Password, string? WhyNot) ReadFile(string file)
    {
        try
        {
            return (File.ReadAllText(file).TrimEnd('\r', '\n'), null);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return (null, $"the password file {file} cannot be read: {failure.Message}");
        }
    }
}
