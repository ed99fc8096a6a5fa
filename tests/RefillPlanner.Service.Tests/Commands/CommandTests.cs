using System;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Service.Tests.Commands;

/// <summary>The commands as a user types them, with their exit codes.</summary>
public sealed class CommandTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-commands-");

    private string State => Path.Combine(_folder.FullName, "state");

    [Fact]
    public async Task The_demo_prints_the_list_and_drops_the_mails()
    {
        var (code, text) = await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        Assert.Equal(ExitCode.Done, code);
        foreach (var heading in new[] { "Refill-due list, Monday, March 2", "Not computed (", "Late (", "Due today (", "Next 7 days (", "Could not be reached (", "no advice on doses" })
            Assert.Contains(heading, text, StringComparison.Ordinal);
        var letters = Directory.GetFiles(Path.Combine(State, "mail")).Select(Path.GetFileName).ToArray();
        Assert.Contains(letters, name => name!.Contains("staff", StringComparison.Ordinal));
        Assert.Contains(letters, name => name!.Contains("patient", StringComparison.Ordinal));
        Assert.Contains(letters, name => name!.Contains("pharmacist", StringComparison.Ordinal));
        foreach (var file in Directory.GetFiles(Path.Combine(State, "mail"), "*patient*"))
        {
            var letter = (await MimeKit.MimeMessage.LoadAsync(file, TestContext.Current.CancellationToken)).ToString();
            Assert.DoesNotMatch("(?i)semaglutide|tirzepatide|insulin|testosterone|methotrexate|enoxaparin| mg|units", letter);
        }
    }

    [Fact]
    public async Task Explain_shows_each_container_and_each_date_with_its_rule()
    {
        await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        var (code, text) = await RunAsync("explain", "C-101", "--as-of", "2026-03-02", "--data", State);
        Assert.Equal(ExitCode.Done, code);
        foreach (var words in new[] { "opened one of P-SEMA", "past its in-use limit", "Runs out on 2026-03-04", "less 3 safety days", "open days before", "To dispense: 1 of P-SEMA (step 1)" })
            Assert.Contains(words, text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_fact_recorded_twice_is_recorded_once_and_plans_the_patient_anew()
    {
        await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        string[] answer = ["record", "C-101", "answered", "--note", "yes", "--on", "2026-03-02", "--data", State];
        Assert.Contains("recorded", (await RunAsync(answer)).Text, StringComparison.Ordinal);
        Assert.Contains("on record already", (await RunAsync(answer)).Text, StringComparison.Ordinal);
        var (_, list) = await RunAsync("due", "--today", "2026-03-02", "--data", State);
        Assert.DoesNotContain("Ask about the next supply: Alder Fictus", list, StringComparison.Ordinal);
        Assert.Contains("Prepare: Alder Fictus", list, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_decision_says_what_follows_and_a_refused_one_why()
    {
        await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        Assert.Equal(ExitCode.Usage, (await RunAsync("sign", "C-201", "approve", "--today", "2026-03-02", "--data", State)).Code);
        var (code, text) = await RunAsync("sign", "C-201", "approve", "--by", "Quill Saltmarsh", "--today", "2026-03-02", "--data", State);
        Assert.Equal(ExitCode.Done, code);
        Assert.Contains("Step 2 of C-201 is approved: semaglutide 0.5 mg every 7 days. Recorded as approved 2 2026-03-02 C-201, by Quill Saltmarsh.", text, StringComparison.Ordinal);
        Assert.Contains("The next check is that of step 3", text, StringComparison.Ordinal);
        (code, text) = await RunAsync("sign", "C-201", "step-back", "--by", "Quill Saltmarsh", "--data", State);
        Assert.Equal(ExitCode.Usage, code);
        Assert.Contains("--steps FILE", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_supply_wanted_for_a_journey_by_a_day_that_has_passed_says_so()
    {
        // C-101 runs out on March 4: needed in hand by Sunday, March 1, so by Friday, February 27.
        await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        string[] journey = ["explain", "C-101", "--travel", "2026-03-10..2026-03-20", "--as-of", "2026-03-02", "--data", State];
        Assert.Contains("is wanted by Friday, February 27, 2026 (that was 3 days ago: hand it over as soon as it can be)", (await RunAsync(journey)).Text, StringComparison.Ordinal);
        Assert.Contains("\"wanted_days_ago\":3", (await RunAsync([.. journey, "--json"])).Text, StringComparison.Ordinal);
        Assert.DoesNotContain("ago", (await RunAsync("explain", "C-201", "--travel", "2026-05-10..2026-05-20", "--as-of", "2026-03-02", "--data", State)).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Mistakes_end_with_the_exit_code_of_their_kind()
    {
        await RunAsync("demo", "--today", "2026-03-02", "--data", State);
        var bad = Path.Combine(_folder.FullName, "bad.json");
        await File.WriteAllTextAsync(bad, "{ \"policy\": { \"safty_days\": 3 } }", TestContext.Current.CancellationToken);
        Assert.Equal(ExitCode.Usage, (await RunAsync("bogus")).Code);
        Assert.Equal(ExitCode.Usage, (await RunAsync("project", "--as-of", "2026-02-30", "--data", State)).Code);
        Assert.Equal(ExitCode.BadInput, (await RunAsync("explain", "NOPE", "--data", State)).Code);
        Assert.Equal(ExitCode.BadInput, (await RunAsync("import", Path.Combine(_folder.FullName, "nowhere"), "--data", State)).Code);
        Assert.Equal(ExitCode.BadInput, (await RunAsync("record", "C-101", "counted", "--product-id", "P-SEMA", "--containers", "1", "--volume-ml", "9", "--data", State)).Code);
        Assert.Equal(ExitCode.BadConfiguration, (await RunAsync("config", "show", "--config", bad)).Code);
        Assert.Equal(ExitCode.CannotWrite, (await RunAsync("due", "--data", bad)).Code);
    }

    [Fact]
    public async Task The_service_is_not_started_twice_on_one_folder()
    {
        Directory.CreateDirectory(State);
        await using var held = new FileStream(Path.Combine(State, "run.lock"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        var (code, text) = await RunAsync("run", "--data", State);
        Assert.Equal(ExitCode.AlreadyRunning, code);
        Assert.Contains("already running", text, StringComparison.Ordinal);
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private static async Task<(int Code, string Text)> RunAsync(params string[] args)
    {
        using var output = new StringWriter();
        var code = await CommandLine.RunAsync(args, output, output, TimeProvider.System);
        return (code, output.ToString());
    }
}
