using System;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Service.Tests.Settings;

/// <summary>Bad configuration files as the program meets them: one line for each problem, exit code 78, nothing started.</summary>
public sealed class BadConfigurationTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-configuration-");

    private string File => Path.Combine(_folder.FullName, "c.json");

    [Theory]
    [InlineData("a host that is missing", "{\n\"mail\": {\n\"port\": 587 } }", "c.json:3: mail.port is set, but mail.host is missing")]
    [InlineData("port 0", "{ \"mail\": { \"host\": \"mail.example.org\",\n\"port\": 0 } }", "c.json:2: mail.port: \"0\" will not do; it is a whole number from 1 to 65535")]
    [InlineData("a port beyond the last", "{ \"mail\": { \"host\": \"mail.example.org\", \"port\": 65536 } }", "c.json:1: mail.port: \"65536\" will not do")]
    [InlineData("an empty host", "{ \"mail\": { \"host\": \"\" } }", "c.json:1: mail.host: \"\" will not do")]
    [InlineData("an unknown key", "{ \"policy\": {\n\n\"safty_days\": 3 } }", "c.json:3: unknown key \"safty_days\"; nearest is \"safety_days\"")]
    [InlineData("an unknown key of a site", "{ \"sites\": { \"S-1\": { \"fil_days\": 30 } } }", "c.json:1: unknown key \"fil_days\"; nearest is \"fill_days\"")]
    [InlineData("an unknown section", "{ \"polcy\": { \"fill_days\": 30 } }", "c.json:1: unknown key \"polcy.fill_days\"; nearest is \"policy\"")]
    [InlineData("broken JSON", "{\n\"policy\": {\n\"fill_days\" 30 } }", "c.json:3: no valid JSON")]
    [InlineData("an object that does not end", "{ \"policy\": {", "c.json:1: no valid JSON")]
    [InlineData("more after the end", "{ }\n{ }", "c.json:2: no valid JSON")]
    [InlineData("an empty file", "", "c.json:1: no valid JSON")]
    [InlineData("a file of blanks", " \n ", "c.json:2: no valid JSON")]
    [InlineData("a list at the top", "[1]", "c.json:1: the file is to be one JSON object")]
    [InlineData("a number at the top", "3", "c.json:1: the file is to be one JSON object")]
    [InlineData("a number for a section", "{ \"policy\": 3 }", "c.json:1: policy: \"3\" will not do; it is a section")]
    [InlineData("a number for a site", "{ \"sites\": { \"S-1\": 3 } }", "c.json:1: sites.S-1: \"3\" will not do; it is a section with keys of policy")]
    [InlineData("a section for a value", "{ \"policy\": { \"fill_days\": { \"x\": 3 } } }", "c.json:1: unknown key \"policy.fill_days.x\"; a key of policy holds a value, not a section")]
    [InlineData("a list for a number", "{ \"policy\": { \"fill_days\": [30, 60] } }", "c.json:1: policy.fill_days: \"30;60\" will not do; it is a whole number from 1 to 180")]
    [InlineData("a list of lists", "{ \"policy\": { \"ship_weekdays\": [\"mon\", [\"tue\"]] } }", "c.json:1: policy.ship_weekdays: a list holds words only")]
    [InlineData("words for a number", "{ \"policy\": { \"fill_days\": \"thirty\" } }", "c.json:1: policy.fill_days: \"thirty\" will not do")]
    [InlineData("a fraction for a whole number", "{ \"policy\": { \"fill_days\": 30.5 } }", "c.json:1: policy.fill_days: \"30.5\" will not do")]
    [InlineData("null", "{ \"mail\": {\n\"from\": null } }", "c.json:2: mail.from has no value; leave the key out")]
    [InlineData("a key said twice", "{ \"policy\": {\n\"fill_days\": 30,\n\"fill_days\": 60 } }", "c.json:3: policy.fill_days is said twice, first in line 2")]
    [InlineData("a section said twice", "{ \"policy\": { \"fill_days\": 30 },\n\"policy\": { \"bridge_days\": 2 } }", "c.json:2: policy is said twice, first in line 1")]
    [InlineData("a window that ends before it begins", "{ \"policy\": {\n\"window_from\": \"18:00\",\n\"window_to\": \"09:00\" } }", "c.json:3: policy: window_from is not before window_to")]
    [InlineData("a site's window that ends before it begins", "{ \"sites\": { \"S-1\": {\n\"window_to\": \"08:00\" } } }", "c.json:2: S-1: window_from is not before window_to")]
    [InlineData("clear text to another machine", "{ \"mail\": { \"host\": \"mail.example.org\", \"security\": \"Plain\" } }", "c.json: mail.security: Plain is for this machine itself only")]
    [InlineData("a secret that is not there", "{ \"mail\": { \"host\": \"mail.example.org\", \"password_file\": \"no-such-file\" } }", "c.json:1: mail.password_file")]
    public async Task P8_One_line_says_what_is_wrong(string what, string text, string line)
    {
        await System.IO.File.WriteAllTextAsync(File, text, TestContext.Current.CancellationToken);
        Assert.True(Assert.Single(await FailAsync()).StartsWith(line, StringComparison.Ordinal), what);
    }

    [Fact]
    public async Task P8_Each_of_several_problems_has_its_line_in_order()
    {
        await System.IO.File.WriteAllTextAsync(File, "{\n\"mail\": { \"host\": \"mail.example.org\", \"port\": 0 },\n\"policy\": { \"safty_days\": 3,\n\"fill_days\": 0 } }", TestContext.Current.CancellationToken);
        var lines = await FailAsync();
        Assert.Equal(["c.json:2", "c.json:3", "c.json:4"], lines.Select(line => line[..8]));
    }

    [Fact]
    public async Task P8_A_folder_in_place_of_the_file_is_named_as_such()
    {
        Directory.CreateDirectory(File);
        Assert.Equal($"{File}: this is a folder; name the file in it", Assert.Single(await FailAsync()));
    }

    [Fact]
    public async Task P8_A_file_that_is_not_there_is_named() => Assert.Equal($"{File}: there is no such file", Assert.Single(await FailAsync()));

    [Fact]
    public async Task P8_A_file_that_another_program_keeps_to_itself_cannot_be_read()
    {
        await using var held = new FileStream(File, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None);
        Assert.StartsWith($"{File}: the file cannot be read", Assert.Single(await FailAsync()), StringComparison.Ordinal);
    }

    [Fact]
    public async Task P8_A_secret_that_others_may_read_is_refused()
    {
        if (OperatingSystem.IsWindows())
            return; // There are no such modes there.
        var secret = Path.Combine(_folder.FullName, "password");
        await System.IO.File.WriteAllTextAsync(secret, "hush", TestContext.Current.CancellationToken);
        System.IO.File.SetUnixFileMode(secret, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.OtherRead);
        await System.IO.File.WriteAllTextAsync(File, $$"""{ "mail": { "host": "mail.example.org", "password_file": "{{secret}}" } }""", TestContext.Current.CancellationToken);
        Assert.StartsWith("c.json:1: mail.password_file", Assert.Single(await FailAsync()), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_byte_order_mark_comments_and_trailing_commas_may_stand_in_the_file()
    {
        await System.IO.File.WriteAllTextAsync(File, "\uFEFF{ // ours\n\"policy\": { \"fill_days\": 28, } }", TestContext.Current.CancellationToken);
        var (code, text) = await RunAsync("config", "show", "--config", File);
        Assert.Equal(ExitCode.Done, code);
        Assert.Contains("policy.fill_days = 28", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Each_value_tells_where_it_comes_from()
    {
        await System.IO.File.WriteAllTextAsync(File, "{\n\"policy\": { \"fill_days\": 28 },\n\"sites\": {\n\"S-1\": { \"bridge_days\": 4 } } }", TestContext.Current.CancellationToken);
        var (_, text) = await RunAsync("config", "show", "--sources", "--site", "S-1", "--config", File);
        Assert.Contains("policy.fill_days = 28  (a whole number from 1 to 180)  <- c.json:2", text, StringComparison.Ordinal);
        Assert.Contains("policy.bridge_days = 4  (a whole number from 0 to 60)  <- c.json:4", text, StringComparison.Ordinal);
        Assert.Contains("mail.port = 587  <- default", text, StringComparison.Ordinal);
    }

    public void Dispose() => _folder.Delete(recursive: true);

    // Every command that reads the file refuses it in the same words; none leaves a stack trace.
    private async Task<string[]> FailAsync()
    {
        var (code, text) = await RunAsync("config", "show", "--config", File);
        Assert.Equal(ExitCode.BadConfiguration, code);
        Assert.Equal((ExitCode.BadConfiguration, text), await RunAsync("run", "--config", File, "--data", Path.Combine(_folder.FullName, "state")));
        return text.TrimEnd('\n').Split('\n');
    }

    private static async Task<(int Code, string Text)> RunAsync(params string[] args)
    {
        await using var output = new StringWriter();
        var code = await CommandLine.RunAsync(args, output, output, TimeProvider.System);
        return (code, output.ToString());
    }
}
