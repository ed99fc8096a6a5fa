using System;
using System.Collections.Generic;
using System.IO;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Hosting.Systemd;
using RefillPlanner.Service.Jobs;
using RefillPlanner.Service.Tests.Work;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Jobs;

/// <summary>What systemd hears of a service that works, and of one that hangs.</summary>
public sealed class PulseTests : IDisposable
{
    private readonly Bench _bench = new(new DateTimeOffset(2026, 3, 2, 14, 30, 0, TimeSpan.Zero));
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-pulse-");
    private readonly Ears _systemd = new();

    [Fact]
    public async Task P5_The_watchdog_is_pinged_after_progress_only_and_not_while_a_round_hangs()
    {
        using var services = Services();
        using var pulse = services.GetRequiredService<Pulse>();
        var runner = services.GetRequiredService<RoundRunner>();
        await pulse.StartAsync(TestContext.Current.CancellationToken);
        await runner.RunAsync("sweep", _ => Task.CompletedTask, TestContext.Current.CancellationToken);
        var pings = _systemd.Pings;
        Assert.Equal(1, pings);

        // A round that hangs, and another that waits for its turn: fifteen minutes long the file is written, and nothing is pinged.
        var hangs = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var hanging = runner.RunAsync("sweep", _ => hangs.Task, TestContext.Current.CancellationToken);
        var waiting = runner.RunAsync("alarm", _ => Task.CompletedTask, TestContext.Current.CancellationToken);
        var words = new List<string>();
        for (var minute = 0; minute < 15; minute++)
        {
            _bench.Time.Advance(TimeSpan.FromMinutes(1));
            words.Add((await File.ReadAllTextAsync(Path.Combine(_folder.FullName, "health"), TestContext.Current.CancellationToken)).Split(' ')[0]);
        }

        Assert.Equal(pings, _systemd.Pings);
        Assert.Equal("ok ok ok late late late late late late late bad bad bad bad bad", string.Join(' ', words));

        hangs.SetResult();
        await hanging;
        await waiting;
        Assert.True(_systemd.Pings > pings);
        Assert.StartsWith("ok ", await File.ReadAllTextAsync(Path.Combine(_folder.FullName, "health"), TestContext.Current.CancellationToken), StringComparison.Ordinal);
        await pulse.StopAsync(TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task P5_Mail_that_hangs_is_not_hidden_by_rounds_that_work()
    {
        using var services = Services();
        using var pulse = services.GetRequiredService<Pulse>();
        var runner = services.GetRequiredService<RoundRunner>();
        var progress = services.GetRequiredService<Progress>();
        using (progress.BeginSending())
        {
            pulse.Beat();
            var pings = _systemd.Pings;
            for (var minute = 0; minute < 4; minute++)
            {
                _bench.Time.Advance(TimeSpan.FromMinutes(1));
                await runner.RunAsync("sweep", _ => Task.CompletedTask, TestContext.Current.CancellationToken);
            }

            Assert.Equal(pings, _systemd.Pings);
            Assert.StartsWith("late ", services.GetRequiredService<Health>().Say(), StringComparison.Ordinal);
            progress.MarkSent();
            pulse.Beat();
            Assert.Equal(pings + 1, _systemd.Pings);
        }

        Assert.StartsWith("ok ", services.GetRequiredService<Health>().Say(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task P5_A_round_that_fails_is_no_progress()
    {
        using var services = Services();
        using var pulse = services.GetRequiredService<Pulse>();
        pulse.Beat();
        var pings = _systemd.Pings;
        await services.GetRequiredService<RoundRunner>().RunAsync("sweep", _ => throw new InvalidOperationException("no"), TestContext.Current.CancellationToken);
        pulse.Beat();
        Assert.Equal(pings, _systemd.Pings);
    }

    public void Dispose()
    {
        _bench.Dispose();
        _folder.Delete(recursive: true);
    }

    private ServiceProvider Services()
    {
        var services = new ServiceCollection();
        services.AddLogging();
        WorkerHost.AddWork(services, _bench.Desk, new Service.Mail.MailRoutes(1, () => _bench.Route), new Service.Mail.MailTemplates());
        WorkerHost.AddCare(services, _folder.FullName);
        services.Replace(ServiceDescriptor.Singleton<ISystemdNotifier>(_systemd));
        services.AddSingleton<IHostApplicationLifetime, NoLife>();
        return services.BuildServiceProvider();
    }

    private sealed class Ears : ISystemdNotifier
    {
        private int _pings;

        public int Pings => _pings;

        public bool IsEnabled => true;

        public void Notify(ServiceState state)
        {
            if (state.ToString() == "WATCHDOG=1")
                Interlocked.Increment(ref _pings);
        }
    }

    private sealed class NoLife : IHostApplicationLifetime
    {
        public CancellationToken ApplicationStarted => CancellationToken.None;

        public CancellationToken ApplicationStopping => CancellationToken.None;

        public CancellationToken ApplicationStopped => CancellationToken.None;

        public void StopApplication() => throw new InvalidOperationException("Nothing here ends the service.");
    }
}
