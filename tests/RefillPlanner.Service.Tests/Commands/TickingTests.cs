using System;
using System.Linq;
using System.Text.Json;
using System.Threading.Tasks;
using Microsoft.Extensions.Time.Testing;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Service.Tests.Commands;

/// <summary>Staff say in the terminal what became of the tasks on the list, over the demo of Monday, March 2, 2026.</summary>
public sealed class TickingTests : IDisposable
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));
    private readonly Typed _typed;

    public TickingTests() => _typed = new Typed(_time);

    [Fact]
    public async Task The_list_names_each_task_and_what_is_ticked_off_is_gone_from_it_until_it_is_taken_back()
    {
        var (key, name) = await FindAsync("Container ends");
        Assert.Contains($"[{name}]", (await DueAsync()).Text, StringComparison.Ordinal);
        var (code, text) = await DueAsync("--done", name, "--by", "Bo Brace");
        Assert.Equal(ExitCode.Done, code);
        Assert.Contains($"Done: Container ends, {key} ({name}), by Bo Brace.", text, StringComparison.Ordinal);
        Assert.DoesNotContain($"[{name}]", (await DueAsync()).Text, StringComparison.Ordinal);

        // Who comes second is told who was first (W2).
        (code, text) = await DueAsync("--done", key, "--by", "Ann Awl");
        Assert.Equal(ExitCode.BadInput, code);
        Assert.Contains("is done, by Bo Brace", text, StringComparison.Ordinal);
        _time.Advance(TimeSpan.FromMinutes(9));
        Assert.Equal(ExitCode.Done, (await DueAsync("--undo", name, "--by", "Bo Brace")).Code);
        Assert.Contains($"[{name}]", (await DueAsync()).Text, StringComparison.Ordinal);
        await DueAsync("--done", name, "--by", "Bo Brace");
        _time.Advance(TimeSpan.FromMinutes(11));
        (code, text) = await DueAsync("--undo", name, "--by", "Bo Brace");
        Assert.Equal(ExitCode.BadInput, code);
        Assert.Contains("more than 10 minutes ago", text, StringComparison.Ordinal);

        // The moves, who made them and when are in the audit.
        using var reading = Store.PlannerDatabase.Open(_typed.Database, NodaTime.Instant.FromDateTimeOffset(_time.GetUtcNow())).Read();
        var moves = reading.Tasks.ListMoves(new Core.Tasks.TaskKey(key)).Where(row => row.By == "Bo Brace").Select(row => row.After).ToArray();
        Assert.Equal(["done", "due", "done"], moves[^3..]);
    }

    [Fact]
    public async Task A_hand_over_is_not_ticked_off_and_the_answer_says_what_to_record()
    {
        var (_, name) = await FindAsync("Hand over");
        var (code, text) = await DueAsync("--done", name, "--by", "Bo Brace");
        Assert.Equal(ExitCode.BadInput, code);
        Assert.Contains($"refill-planner record {name[..^5]} dispensed --product-id", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Whoever_was_asked_waits_for_an_answer_and_without_one_is_late_after_two_open_days()
    {
        var (key, name) = await FindAsync("Ask for a renewal");
        Assert.Equal(ExitCode.Done, (await DueAsync("--waiting", name, "--by", "Bo Brace")).Code);
        Assert.Equal("Waiting for an answer", await SectionAsync(key));
        _time.Advance(TimeSpan.FromDays(2)); // Wednesday
        Assert.Equal("Waiting for an answer", await SectionAsync(key));
        _time.Advance(TimeSpan.FromDays(1));
        Assert.Equal("Late", await SectionAsync(key));
    }

    [Fact]
    public async Task What_is_put_off_is_no_longer_late_says_why_and_is_late_again_after_its_day()
    {
        var (key, name) = await FindAsync("Could not be reached", "Pharmacist: doses not given", "Sharps container overdue", "Ask for a renewal");
        Assert.Equal(ExitCode.BadInput, (await DueAsync("--postpone", name, "--to", "2026-03-05", "--by", "Bo Brace")).Code);
        var (code, text) = await DueAsync("--postpone", name, "--to", "2026-03-05", "--because", "back on Thursday", "--by", "Bo Brace");
        Assert.Equal(ExitCode.Done, code);
        Assert.Contains("Put off to Thursday, March 5, 2026", text, StringComparison.Ordinal);
        Assert.Equal("Next 7 days", await SectionAsync(key));
        Assert.Contains("Put off to Thursday, March 5: back on Thursday", (await DueAsync()).Text, StringComparison.Ordinal);
        _time.Advance(TimeSpan.FromDays(3));
        Assert.Equal("Due today", await SectionAsync(key));
        _time.Advance(TimeSpan.FromDays(1));
        Assert.Equal("Late", await SectionAsync(key));
    }

    [Fact]
    public async Task Several_are_ticked_off_one_by_one_and_the_exit_code_says_that_one_was_refused()
    {
        var (ends, contact) = ((await FindAsync("Container ends")).Name, (await FindAsync("Hand over")).Name);
        var (code, text) = await DueAsync("--done", ends, "--done", contact, "--by", "Bo Brace", "--dry-run", "--json");
        Assert.Equal(ExitCode.Refused, code);
        using var rows = JsonDocument.Parse(text.Split('\n')[0]);
        Assert.Equal("done", rows.RootElement[0].GetProperty("after").GetString());
        Assert.Contains("dispensed", rows.RootElement[1].GetProperty("refused").GetString(), StringComparison.Ordinal);
        Assert.Contains($"[{ends}]", (await DueAsync()).Text, StringComparison.Ordinal); // a dry run changed nothing
    }

    [Fact]
    public async Task Mistakes_in_what_was_typed_are_named()
    {
        var (_, name) = await FindAsync("Container ends");
        Assert.Equal(ExitCode.Usage, (await DueAsync("--done", name)).Code);
        Assert.Equal(ExitCode.Usage, (await DueAsync("--done", name, "--by", "planner")).Code);
        Assert.Equal(ExitCode.Usage, (await DueAsync("--done", name, "--waiting", name, "--by", "Bo Brace")).Code);
        Assert.Equal(ExitCode.Usage, (await DueAsync("--by", "Bo Brace")).Code);
        Assert.Equal(ExitCode.Usage, (await DueAsync("--done", name, "--by", "Bo\u001b[31m")).Code);
        var (code, text) = await DueAsync("--done", "C-101:ZZZZ", "--by", "Bo Brace");
        Assert.Equal(ExitCode.BadInput, code);
        Assert.Contains("There is no task C-101:ZZZZ", text, StringComparison.Ordinal);
    }

    public void Dispose() => _typed.Dispose();

    private Task<(int Code, string Text)> DueAsync(params string[] args) => _typed.RunAsync(["due", .. args, "--data", _typed.State]);

    // The first row of the list that asks for one of these.
    private async Task<(string Key, string Name)> FindAsync(params string[] whats)
    {
        if (!System.IO.File.Exists(_typed.Database))
            await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        using var lists = JsonDocument.Parse((await DueAsync("--json")).Text);
        var row = lists.RootElement.EnumerateArray().SelectMany(list => list.GetProperty("sections").EnumerateArray()).SelectMany(section => section.GetProperty("rows").EnumerateArray())
            .First(row => whats.Contains(row.GetProperty("what").GetString()) && row.GetProperty("reference").GetString()!.Length > 0);
        return (row.GetProperty("key").GetString()!, row.GetProperty("reference").GetString()!);
    }

    private async Task<string> SectionAsync(string key)
    {
        using var lists = JsonDocument.Parse((await DueAsync("--json")).Text);
        return lists.RootElement.EnumerateArray().SelectMany(list => list.GetProperty("sections").EnumerateArray())
            .First(section => section.GetProperty("rows").EnumerateArray().Any(row => row.GetProperty("key").GetString() == key)).GetProperty("title").GetString()!;
    }
}
