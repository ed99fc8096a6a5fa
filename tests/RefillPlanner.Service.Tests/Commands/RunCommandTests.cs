using System;
using System.IO;
using System.Threading.Tasks;
using Microsoft.Extensions.Time.Testing;
using RefillPlanner.Service.Commands;
using Xunit;

namespace RefillPlanner.Service.Tests.Commands;

/// <summary>How the service ends when it cannot begin: the exit code of its kind, one line, no stack trace.</summary>
public sealed class RunCommandTests : IDisposable
{
    private readonly Typed _typed = new(new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 15, 0, 0, TimeSpan.Zero)));

    [Fact]
    public async Task P6_A_second_service_ends_with_75()
    {
        Directory.CreateDirectory(_typed.State);
        using var held = RunLock.TryTake(_typed.State);
        Assert.Equal((ExitCode.AlreadyRunning, $"The service is already running on {_typed.State}.\n"), await _typed.RunAsync("run", "--data", _typed.State));
    }

    [Fact]
    public async Task Beside_a_service_that_runs_a_persons_word_ends_what_waits_for_it()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        _typed.Damage("INSERT INTO pauses (kind, since, until, tries, reason) VALUES ('clock', '2026-03-02T15:00:00.000Z', NULL, 1, 'the clock jumped.')");
        using var held = RunLock.TryTake(_typed.State);
        var (code, text) = await _typed.RunAsync("run", "--go-on", "--data", _typed.State);
        Assert.Equal((ExitCode.Done, $"The service that runs on {_typed.State} goes on; ended: clock.\n"), (code, text));
        Assert.Contains($"{Environment.UserName}: service paused -> goes on", (await _typed.RunAsync("audit", "show", "clock", "--data", _typed.State)).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task P4_A_database_that_is_not_one_ends_with_69()
    {
        Directory.CreateDirectory(_typed.State);
        await File.WriteAllTextAsync(_typed.Database, new string('x', 10_000), TestContext.Current.CancellationToken);
        await EndsAsync(ExitCode.Away);
    }

    [Fact]
    public async Task P4_A_folder_that_is_a_file_ends_with_73()
    {
        await File.WriteAllTextAsync(_typed.State, "x", TestContext.Current.CancellationToken);
        await EndsAsync(ExitCode.CannotWrite);
    }

    [Fact]
    public async Task P4_A_count_of_starts_that_cannot_be_written_ends_with_73()
    {
        await _typed.RunAsync("demo", "--today", "2026-03-02", "--data", _typed.State);
        Directory.CreateDirectory(Path.Combine(_typed.State, "starts.new"));
        await EndsAsync(ExitCode.CannotWrite);
    }

    public void Dispose() => _typed.Dispose();

    private async Task EndsAsync(int expected)
    {
        var (code, text) = await _typed.RunAsync("run", "--data", _typed.State);
        Assert.Equal(expected, code);
        Assert.DoesNotContain("   at ", text, StringComparison.Ordinal);
        Assert.Single(text.TrimEnd('\n').Split('\n'));
    }
}
