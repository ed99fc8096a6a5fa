using System;
using System.IO;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Commands;
using RefillPlanner.Service.Jobs;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Tests.Work;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Jobs;

/// <summary>Rounds that fail, wait, and stop.</summary>
public sealed class RoundRunnerTests : IDisposable
{
    private const string Canary = "Alder Fictus";

    private readonly Bench _bench = new(new DateTimeOffset(2026, 3, 2, 14, 30, 0, TimeSpan.Zero));
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-rounds-");
    private readonly RecordedLog _log = new();
    private readonly IHost _host;

    public RoundRunnerTests()
    {
        _bench.ImportDemo(new LocalDate(2026, 3, 2));
        _host = WorkerHost.Build(_bench.Desk, new MailRoutes(1, () => _bench.Route), new MailTemplates(), _folder.FullName);
        _host.Services.GetRequiredService<ILoggerFactory>().AddProvider(_log);
    }

    private RoundRunner Runner => _host.Services.GetRequiredService<RoundRunner>();

    private Ending Ending => _host.Services.GetRequiredService<Ending>();

    private string HealthLine => File.ReadAllText(Path.Combine(_folder.FullName, Health.FileName));

    [Fact]
    public async Task P4_A_round_that_throws_is_logged_by_type_and_place_and_comes_later()
    {
        await FailAsync();
        Assert.Contains("The round sweep failed (1 in a row): InvalidOperationException at RoundRunnerTests", Assert.Single(_log.Lines).Text, StringComparison.Ordinal);
        Assert.DoesNotContain(_log.Lines, line => line.Text.Contains(Canary, StringComparison.Ordinal));

        // It waits a minute, then two.
        Assert.False(await IsRunAsync());
        _bench.Time.Advance(TimeSpan.FromSeconds(61));
        await FailAsync();
        _bench.Time.Advance(TimeSpan.FromSeconds(61));
        Assert.False(await IsRunAsync());
        _bench.Time.Advance(TimeSpan.FromSeconds(60));
        Assert.True(await IsRunAsync());
        Assert.False(Ending.IsStopping);
    }

    [Fact]
    public async Task P4_Three_failed_rounds_in_a_row_end_the_service_with_70()
    {
        await FailAsync();
        _bench.Time.Advance(TimeSpan.FromMinutes(5));
        Assert.True(await IsRunAsync());
        for (var failure = 1; failure <= 3; failure++)
        {
            Assert.False(Ending.IsStopping);
            _bench.Time.Advance(TimeSpan.FromMinutes(5));
            await FailAsync();
        }

        Assert.True(Ending.IsStopping);
        Assert.Equal(ExitCode.Internal, Ending.ExitCode);
    }

    [Fact]
    public async Task P4_What_is_not_vital_is_tried_ever_more_seldom_and_never_ends_the_service()
    {
        var tries = 0;
        for (var minute = 0; minute < 300; minute++)
        {
            await Runner.RunAsideAsync("mailbox", _ => ++tries > 0 ? throw new InvalidOperationException(Canary) : Task.CompletedTask, TestContext.Current.CancellationToken, isVital: false);
            _bench.Time.Advance(TimeSpan.FromMinutes(1));
        }

        // After 1, 2, 4, 8, 16 and 32 minutes, then every hour.
        Assert.Equal(10, tries);
        Assert.False(Ending.IsStopping);
    }

    [Fact]
    public async Task P4_A_service_whose_record_breaks_while_it_runs_ends_with_70_by_itself()
    {
        var ends = WorkerHost.RunAsync(_host, CancellationToken.None);
        await StartedAsync();
        _bench.Damage("DROP TABLE tasks");
        using var patience = new PeriodicTimer(TimeSpan.FromMilliseconds(50));
        for (var step = 0; step < 600 && !ends.IsCompleted; step++)
        {
            _bench.Time.Advance(TimeSpan.FromSeconds(10));
            await patience.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        Assert.True(ends.IsCompleted, string.Join('\n', _log.Lines));
        Assert.Equal(ExitCode.Internal, await ends);
    }

    [Theory]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(13)]
    public async Task S3_A_database_that_is_busy_or_full_is_no_bug_and_is_said_once(int code)
    {
        for (var round = 0; round < 10; round++)
        {
            _bench.Time.Advance(TimeSpan.FromMinutes(1));
            await Runner.RunAsync("sweep", _ => throw new SqliteException("away", code), TestContext.Current.CancellationToken);
            Assert.StartsWith("bad ", HealthLine, StringComparison.Ordinal);
        }

        Assert.False(Ending.IsStopping);
        Assert.Equal(LogLevel.Critical, Assert.Single(_log.Lines).Level);
        Assert.True(await IsRunAsync());
        Assert.StartsWith("ok ", HealthLine, StringComparison.Ordinal);
    }

    [Fact]
    public async Task P3_A_service_told_to_stop_finishes_what_is_in_hand_and_leaves_the_rest_queued()
    {
        using var stop = new CancellationTokenSource();
        _bench.Route.Answer = _ =>
        {
            stop.Cancel();
            return new Delivery(DeliveryOutcome.Accepted, "250 taken");
        };
        Assert.Equal(ExitCode.Done, await WorkerHost.RunAsync(_host, stop.Token));
        Assert.Single(_bench.Route.Letters);
        using var reading = _bench.Desk.Database.Read();
        Assert.Equal(1, reading.Outbox.Count(MessageState.Accepted));
        Assert.Equal(0, reading.Outbox.Count(MessageState.Sending));
        Assert.All(reading.Outbox.List(MessageState.Queued), message => Assert.Equal(0, message.Attempts));
        Assert.NotEmpty(reading.Outbox.List(MessageState.Queued));
    }

    [Fact]
    public async Task P3_A_service_told_to_stop_before_it_began_sends_nothing()
    {
        Assert.Equal(ExitCode.Done, await WorkerHost.RunAsync(_host, new CancellationToken(canceled: true)));
        Assert.Empty(_bench.Route.Letters);
    }

    [Fact]
    public void P3_Planning_stops_between_two_patients()
    {
        using var stop = new CancellationTokenSource();
        stop.Cancel();
        Assert.Throws<OperationCanceledException>(() => new PatientPlanning(_bench.Desk).PlanEach(["P-101", "P-102"], cancellation: stop.Token));
        Assert.Empty(_bench.Tasks());
    }

    [Fact]
    public async Task P4_A_first_round_that_fails_comes_out_with_what_it_threw()
    {
        _bench.Damage("DROP TABLE planning");
        var thrown = await Assert.ThrowsAnyAsync<Exception>(() => WorkerHost.RunAsync(_host, CancellationToken.None));
        Assert.Equal(1, FaultText.FindSqliteCode(thrown));
        Assert.DoesNotContain(_log.Lines, line => line.Level >= LogLevel.Error);
    }

    [Fact]
    public void Of_an_exception_the_type_and_the_place_are_said_and_its_message_only_when_it_is_ours()
    {
        Assert.Equal("InvalidOperationException at RoundRunnerTests.Throw < RoundRunnerTests.Of_an_exception_the_type_and_the_place_are_said_and_its_message_only_when_it_is_ours", FaultText.Of(Caught(() => Throw(Canary))));
        Assert.StartsWith("InvalidOperationException at RoundRunnerTests.Throw <", FaultText.Of(new AggregateException(Caught(() => Throw(Canary)))), StringComparison.Ordinal);
        Assert.StartsWith("SqliteException 13", FaultText.Of(new SqliteException(Canary, 13)), StringComparison.Ordinal);
        Assert.Contains("The record of P-7 in patients is damaged", FaultText.Of(new Store.DamagedRowException("patients", "P-7")), StringComparison.Ordinal);
    }

    public void Dispose()
    {
        _host.Dispose();
        _bench.Dispose();
        _folder.Delete(recursive: true);
    }

    private Task FailAsync() => Runner.RunAsync("sweep", _ => throw new InvalidOperationException(Canary), TestContext.Current.CancellationToken);

    private async Task<bool> IsRunAsync()
    {
        var isRun = false;
        await Runner.RunAsync(
            "sweep",
            _ =>
            {
                isRun = true;
                return Task.CompletedTask;
            },
            TestContext.Current.CancellationToken);
        return isRun;
    }

    private async Task StartedAsync()
    {
        var started = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        await using var waiting = _host.Services.GetRequiredService<IHostApplicationLifetime>().ApplicationStarted.Register(started.SetResult);
        await started.Task.WaitAsync(TimeSpan.FromSeconds(60), TestContext.Current.CancellationToken);
    }

    private static void Throw(string message) => throw new InvalidOperationException(message);

    private static Exception Caught(Action action) => Record.Exception(action)!;
}
