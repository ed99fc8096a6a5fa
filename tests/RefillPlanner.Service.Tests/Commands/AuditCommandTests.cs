using System;
using System.Text.Json;
using System.Threading.Tasks;
using Microsoft.Extensions.Time.Testing;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Service.Tests.Commands;

public sealed class AuditCommandTests : IDisposable
{
    private readonly Typed _typed = new(new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero)));

    [Fact]
    public async Task A_whole_audit_says_how_many_rows_it_has_and_its_head()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        var (code, text) = await _typed.RunAsync("audit", "verify", "--data", _typed.State);
        Assert.Equal(ExitCode.Done, code);
        Assert.Matches("^Whole: [0-9]{2,} rows, head [0-9a-f]{64}\\.\n$", text);
        var verdict = JsonDocument.Parse((await _typed.RunAsync("audit", "verify", "--json", "--data", _typed.State)).Text).RootElement;
        Assert.Equal(JsonValueKind.Null, verdict.GetProperty("broken_at").ValueKind);
        Assert.Contains(verdict.GetProperty("head").GetString()!, text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_row_that_was_changed_is_named_and_ends_with_65()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        _typed.Damage("DROP TRIGGER audit_is_never_edited; UPDATE audit SET by = 'somebody' WHERE audit_id = 7; CREATE TRIGGER audit_is_never_edited BEFORE UPDATE ON audit\nBEGIN\n    SELECT RAISE(ABORT, 'the audit is added to, never edited');\nEND;");
        var (code, text) = await _typed.RunAsync("audit", "verify", "--data", _typed.State);
        Assert.Equal(ExitCode.BadInput, code);
        Assert.StartsWith("Broken at row 7: ", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_happened_to_one_message_is_shown_in_order()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        var (code, text) = await _typed.RunAsync("audit", "show", "morning-list/S-1/2026-03-02", "--data", _typed.State);
        Assert.Equal(ExitCode.Done, code);
        Assert.Matches("(?s)message nothing -> queued.*message queued -> sending.*message sending -> accepted", text);
        Assert.Equal(ExitCode.BadInput, (await _typed.RunAsync("audit", "show", "nothing/like/it", "--data", _typed.State)).Code);
    }

    [Fact]
    public async Task Looking_makes_no_database()
    {
        Assert.Equal(ExitCode.Away, (await _typed.RunAsync("audit", "verify", "--data", _typed.State)).Code);
        Assert.False(System.IO.Directory.Exists(_typed.State));
    }

    public void Dispose() => _typed.Dispose();
}
