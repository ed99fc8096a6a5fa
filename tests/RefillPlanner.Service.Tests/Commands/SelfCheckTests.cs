using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Net.Sockets;
using System.Text.Json;
using System.Threading.Tasks;
using Microsoft.Extensions.Time.Testing;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Service.Tests.Commands;

public sealed class SelfCheckTests : IDisposable
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero));
    private readonly Typed _typed;

    public SelfCheckTests() => _typed = new Typed(_time);

    [Fact]
    public async Task Each_thing_that_the_service_stands_on_is_looked_at_and_nothing_is_written()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        await _typed.RunAsync("backup", _typed.Folder, "--data", _typed.State);
        var before = await File.ReadAllBytesAsync(_typed.Database, TestContext.Current.CancellationToken);
        var (code, rows) = await CheckAsync();
        Assert.Equal(before, await File.ReadAllBytesAsync(_typed.Database, TestContext.Current.CancellationToken));
        foreach (var name in new[] { "configuration", "folder", "database", "audit", "clock", "zones", "sites", "backup", "pauses", "undelivered" })
            Assert.Equal((name, "ok"), (name, rows[name].Verdict));

        // The demo drops its mail, no service has run, and one invented patient has no address.
        foreach (var name in new[] { "mail", "service", "not accepted" })
            Assert.Equal((name, "warn"), (name, rows[name].Verdict));
        Assert.Contains("disk", rows.Keys);
        Assert.All(rows.Values, row => Assert.Equal(row.Verdict != "ok", row.WhatToDo.Length > 0));
        Assert.Equal(ExitCode.Refused, code);
    }

    [Fact]
    public async Task No_patient_is_named()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        Assert.DoesNotMatch("(?i)fictus|semaglutide|insulin|@example", (await _typed.RunAsync("self-check", "--data", _typed.State)).Text);
    }

    [Fact]
    public async Task Without_a_database_the_check_ends_with_69_and_makes_none()
    {
        var (code, rows) = await CheckAsync();
        Assert.Equal(ExitCode.Away, code);
        Assert.Equal("bad", rows["folder"].Verdict);
        Assert.Equal("bad", rows["database"].Verdict);
        Assert.False(Directory.Exists(_typed.State));
    }

    [Fact]
    public async Task A_bad_configuration_ends_with_78_and_the_rest_is_looked_at_all_the_same()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        var file = await WriteAsync("""{ "policy": { "safty_days": 3 } }""");
        var (code, rows) = await CheckAsync("--config", file);
        Assert.Equal(ExitCode.BadConfiguration, code);
        Assert.Contains("nearest is \"safety_days\"", rows["configuration"].Seen, StringComparison.Ordinal);
        Assert.Equal("ok", rows["database"].Verdict);
    }

    [Fact]
    public async Task A_mail_server_that_is_away_ends_with_69()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        int port;
        using (var listener = new TcpListener(System.Net.IPAddress.Loopback, 0))
        {
            listener.Start();
            port = ((System.Net.IPEndPoint)listener.LocalEndpoint).Port;
        }

        var file = await WriteAsync($$"""{ "mail": { "host": "127.0.0.1", "port": {{port}}, "security": "Plain" }, "sites": { "S-99": { "fill_days": 28 } } }""");
        var (code, rows) = await CheckAsync("--config", file);
        Assert.Equal(ExitCode.Away, code);
        Assert.Equal("bad", rows["mail"].Verdict);
        Assert.Contains("S-99", rows["sites"].Seen, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Damage_old_backups_a_clock_set_back_an_unknown_zone_and_pauses_are_seen()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        await _typed.RunAsync("backup", _typed.Folder, "--data", _typed.State);
        _time.Advance(TimeSpan.FromDays(3));
        Assert.Equal("warn", (await CheckAsync()).Rows["backup"].Verdict);
        _typed.Damage("INSERT INTO pauses (kind, since, until, tries, reason) VALUES ('clock', '2026-03-02T15:00:00.000Z', NULL, 1, 'the clock jumped.'); UPDATE patients SET time_zone = 'Mars/Olympus' WHERE patient_id = (SELECT min(patient_id) FROM patients)");
        var (code, rows) = await CheckAsync();
        Assert.Equal(ExitCode.Refused, code);
        Assert.Equal("bad", rows["pauses"].Verdict);
        Assert.Contains("--go-on", rows["pauses"].WhatToDo, StringComparison.Ordinal);
        Assert.Contains("in patients is damaged", rows["database"].Seen, StringComparison.Ordinal);
        Assert.Contains("Mars/Olympus", rows["zones"].Seen, StringComparison.Ordinal);
    }

    [Fact]
    public async Task T1_A_clock_before_the_record_is_bad()
    {
        await _typed.RunAsync("demo", "--today", "2026-05-02", "--data", _typed.State);
        Assert.Equal("bad", (await CheckAsync()).Rows["clock"].Verdict);
    }

    [Theory]
    [InlineData("ok 2026-03-02T14:59:30Z progress=12s queued=0 not-accepted=0 paused=no", "ok")]
    [InlineData("late 2026-03-02T14:59:30Z progress=200s queued=0 not-accepted=0 paused=no", "bad")]
    [InlineData("ok 2026-03-02T14:50:00Z progress=12s queued=0 not-accepted=0 paused=no", "bad")]
    [InlineData("what", "warn")]
    public async Task P5_The_services_last_word_is_believed_while_it_is_fresh(string line, string verdict)
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        await File.WriteAllTextAsync(Path.Combine(_typed.State, "health"), line + "\n", TestContext.Current.CancellationToken);
        Assert.Equal(verdict, (await CheckAsync()).Rows["service"].Verdict);
    }

    public void Dispose() => _typed.Dispose();

    private async Task<string> WriteAsync(string json)
    {
        var file = Path.Combine(_typed.Folder, "c.json");
        await File.WriteAllTextAsync(file, json, TestContext.Current.CancellationToken);
        return file;
    }

    private async Task<(int Code, Dictionary<string, (string Verdict, string Seen, string WhatToDo)> Rows)> CheckAsync(params string[] more)
    {
        var (code, text) = await _typed.RunAsync(["self-check", "--json", "--data", _typed.State, .. more]);
        var rows = JsonDocument.Parse(text).RootElement.EnumerateArray().Select(row => (Name: row.GetProperty("check").GetString()!, Row: (row.GetProperty("verdict").GetString()!, row.GetProperty("seen").GetString()!, row.GetProperty("what_to_do").GetString()!)));
        return (code, rows.DistinctBy(row => row.Name).ToDictionary(row => row.Name, row => row.Row));
    }
}
