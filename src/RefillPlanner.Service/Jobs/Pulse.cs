using System;
using System.Globalization;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Hosting.Systemd;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Jobs;

/// <summary>
/// Says every minute, and after each round, how the service is: to the health file, and to systemd where it listens. systemd's watchdog is pinged
/// only when something was got done since the last ping, so that a service that hangs is started anew.
/// </summary>
public sealed class Pulse : IHostedService, IDisposable
{
    private static readonly TimeSpan Every = TimeSpan.FromMinutes(1);
    private static readonly ServiceState Ping = new("WATCHDOG=1");

    private readonly Health _health;
    private readonly Progress _progress;
    private readonly ISystemdNotifier _systemd;
    private readonly StateFolder _folder;
    private readonly Lock _one = new();
    private readonly TimeSpan _every;
    private readonly TimeProvider _time;
    private readonly CancellationTokenRegistration _started;
    private readonly CancellationTokenRegistration _stopping;
    private ITimer? _timer;

    /// <summary>Begins to beat when it is started.</summary>
    public Pulse(Desk desk, Health health, Progress progress, ISystemdNotifier systemd, StateFolder folder, IHostApplicationLifetime life)
    {
        (_health, _progress, _systemd, _folder, _time) = (health, progress, systemd, folder, desk.Time);
        _every = WatchdogLimit() is TimeSpan limit && limit / 2 < Every ? limit / 2 : Every;
        _started = life.ApplicationStarted.Register(() =>
        {
            Tell(ServiceState.Ready);
            Beat();
        });
        _stopping = life.ApplicationStopping.Register(() => Tell(ServiceState.Stopping));
    }

    /// <summary>Says how the service is.</summary>
    public void Beat()
    {
        if (!_one.TryEnter())
            return; // Another thread is saying it.
        try
        {
            var line = _health.Say();
            if (_folder.Path is string folder)
                Health.Write(folder, line);
            Tell(new ServiceState("STATUS=" + line));
            if (_progress.TakeMoved())
                Tell(Ping);
        }
        finally
        {
            _one.Exit();
        }
    }

    /// <inheritdoc/>
    public Task StartAsync(CancellationToken cancellationToken)
    {
        Beat();
        _timer = _time.CreateTimer(_ => Beat(), state: null, _every, _every);
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public Task StopAsync(CancellationToken cancellationToken)
    {
        _timer?.Dispose();
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _timer?.Dispose();
        _started.Dispose();
        _stopping.Dispose();
    }

    // systemd that is away is no reason to stop.
    private void Tell(ServiceState state)
    {
        try
        {
            if (_systemd.IsEnabled)
                _systemd.Notify(state);
        }
        catch (System.Net.Sockets.SocketException)
        {
            // It will miss the pings, and act on that.
        }
    }

    private static TimeSpan? WatchdogLimit() =>
        long.TryParse(Environment.GetEnvironmentVariable("WATCHDOG_USEC"), NumberStyles.None, CultureInfo.InvariantCulture, out var limit) && limit > 0
            ? TimeSpan.FromMicroseconds(limit)
            : null;
}

/// <summary>Where the service keeps its state.</summary>
/// <param name="Path">The folder; null: none, nothing is written but the database.</param>
public sealed record StateFolder(string? Path);
