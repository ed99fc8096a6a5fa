using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Settings;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>Where the password of the mail account comes from, and which files may not hold it.</summary>
public sealed class MailPasswordTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-tests-");
    private readonly Dictionary<string, string> _environment = [];

    [Fact]
    public void The_named_file_comes_first_then_the_environment_then_the_credential()
    {
        Put(MailPassword.Credential, "from the credential\n");
        _environment["CREDENTIALS_DIRECTORY"] = _folder.FullName;
        Assert.Equal("from the credential", Read(new MailSettings { User = "planner" }).Password);
        _environment[MailPassword.Variable] = "from the environment";
        Assert.Equal("from the environment", Read(new MailSettings { User = "planner" }).Password);
        Assert.Equal("from the file", Read(new MailSettings { User = "planner", PasswordFile = Put("password", "from the file\r\n") }).Password);
    }

    [Fact]
    public void Where_there_is_no_password_all_three_places_are_named()
    {
        var (password, whyNot) = Read(new MailSettings { User = "planner" });
        Assert.Null(password);
        Assert.Equal("there is no password for planner: set mail.password_file, the variable REFILL_PLANNER_MAIL_PASSWORD or the systemd credential mail_password", whyNot);
    }

    [Fact]
    public void A_named_file_that_is_gone_is_not_replaced_by_another_password()
    {
        _environment[MailPassword.Variable] = "from the environment";
        Assert.EndsWith("there is no such file", Read(new MailSettings { User = "planner", PasswordFile = Path.Combine(_folder.FullName, "gone") }).WhyNot, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(UnixFileMode.GroupRead, "its mode 0640 lets its group at it; set it to 0600")]
    [InlineData(UnixFileMode.OtherRead, "its mode 0604 lets everybody on this machine at it; set it to 0600")]
    [InlineData(UnixFileMode.GroupRead | UnixFileMode.OtherRead, "its mode 0644 lets everybody on this machine at it; set it to 0600")]
    [InlineData(UnixFileMode.OtherWrite, "its mode 0602 lets everybody on this machine at it; set it to 0600")]
    [InlineData(UnixFileMode.None, null)]
    public void A_password_file_that_others_may_read_is_refused_with_its_mode(UnixFileMode others, string? reason)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "files have no mode here");
        var file = Put("password", "secret");
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(file, UnixFileMode.UserRead | UnixFileMode.UserWrite | others);
        var faults = SettingsFile.Parse("c.json", Encoding.UTF8.GetBytes($$"""{ "mail": { "host": "mail.example.org", "password_file": "{{file}}" } }""")).Faults;
        if (reason is null)
        {
            Assert.Empty(faults);
            return;
        }

        Assert.Equal($"c.json:1: mail.password_file: \"{file}\" will not do; it is a file that only its owner may read: {reason}", Assert.Single(faults).ToString());
        Assert.Equal($"password_file {file}: {reason}", Read(new MailSettings { User = "planner", PasswordFile = file }).WhyNot);
    }

    [Fact]
    public void The_person_who_runs_the_service_has_an_address()
    {
        Assert.Equal("service@example.org", SettingsFile.Parse("c.json", """{ "mail": { "service_to": "service@example.org" } }"""u8.ToArray()).Settings.Mail.ServiceTo);
        Assert.Equal("c.json:1: mail.service_to: \"nobody\" will not do; it is an e-mail address", SettingsFile.Parse("c.json", """{ "mail": { "service_to": "nobody" } }"""u8.ToArray()).Faults.Single().ToString());
        Assert.Null(new MailSettings().ServiceTo);
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private (string? Password, string? WhyNot) Read(MailSettings settings) => MailPassword.Read(settings, _environment.GetValueOrDefault);

    private string Put(string name, string text)
    {
        var file = Path.Combine(_folder.FullName, name);
        File.WriteAllText(file, text);
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(file, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        return file;
    }
}
