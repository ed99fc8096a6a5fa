using System;
using System.Collections.Concurrent;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Jobs;

/// <summary>
/// Runs a round of work in its turn and takes what it throws. A failed round is logged by its type and place and comes later the next time; three
/// in a row end the service, so that a supervisor starts it anew. A database that is busy or full is tried again for as long as it takes.
/// </summary>
public sealed class RoundRunner(Desk desk, Turn turn, Progress progress, Health health, ServiceMeter meter, Pulse pulse, Ending ending, IHostApplicationLifetime life, ILogger<RoundRunner> log)
{
    private const int MostFailures = 3;
    private const int DoublingsInAnHour = 7;

    private readonly ConcurrentDictionary<string, Setback> _setbacks = new(StringComparer.Ordinal);
    private readonly ConcurrentDictionary<string, bool> _away = new(StringComparer.Ordinal);

    /// <summary>Runs one round in its turn, or leaves it out: while it has to wait after a failure, and once the service is to stop.</summary>
    /// <param name="name">Which; its failures are counted by this name.</param>
    /// <param name="round">The work. Its token ends with the service: nothing new is taken, what is in hand is finished.</param>
    /// <param name="cancellation">The scheduler's token.</param>
    public Task RunAsync(string name, Func<CancellationToken, Task> round, CancellationToken cancellation) => RunAsideAsync(
        name,
        async stop =>
        {
            using var mine = await turn.TakeAsync(stop);
            await round(stop);
            progress.Mark();
        },
        cancellation);

    /// <summary>The same without a turn, for what waits for others, such as a mail server: it holds up nothing else, and is no progress of the work.</summary>
    /// <param name="name">Which.</param>
    /// <param name="round">The work.</param>
    /// <param name="cancellation">The scheduler's token.</param>
    /// <param name="isVital">Whether three failures in a row end the service; if not, it is only tried ever more seldom, up to once an hour.</param>
    public async Task RunAsideAsync(string name, Func<CancellationToken, Task> round, CancellationToken cancellation, bool isVital = true)
    {
        if (_setbacks.TryGetValue(name, out var before) && desk.Time.GetElapsedTime(before.At) < before.Wait)
            return;
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(cancellation, life.ApplicationStopping);
        try
        {
            await round(stop.Token);
            End(name);
        }
        catch (Exception fault) when (stop.IsCancellationRequested)
        {
            // What it left is on record, and is taken up at the next start.
            if (fault is not OperationCanceledException)
                log.LogWarning("The round {Name} ended early with the service: {Fault}", name, FaultText.Of(fault));
        }
        catch (Exception fault) when (FaultText.IsStorageAway(fault))
        {
            Wait(name, fault);
        }
        catch (Exception fault) when (fault is not OutOfMemoryException)
        {
            Fail(name, fault, isVital);
        }

        pulse.Beat();
    }

    private void End(string name)
    {
        _setbacks.TryRemove(name, out _);
        if (!_away.TryRemove(name, out _) || !_away.IsEmpty)
            return;
        health.IsStorageAway = false;
        log.LogInformation("The database can be used again");
    }

    // Said once, however long it lasts and whichever rounds it stops.
    private void Wait(string name, Exception fault)
    {
        if (_away.IsEmpty)
            log.LogCritical("The database cannot be used: {Fault}. Nothing is sent meanwhile; it is tried again every minute. See that the disk is not full and that no other program holds the file", FaultText.Of(fault));
        _away[name] = true;
        health.IsStorageAway = true;
    }

    private void Fail(string name, Exception fault, bool isVital)
    {
        meter.CountFailure();
        var failures = (_setbacks.TryGetValue(name, out var known) ? known.Failures : 0) + 1;
        var wait = failures < DoublingsInAnHour ? TimeSpan.FromMinutes(1 << (failures - 1)) : TimeSpan.FromHours(1);
        _setbacks[name] = new Setback(failures, desk.Time.GetTimestamp(), wait);
        if (failures < MostFailures || !isVital)
        {
            log.LogError("The round {Name} failed ({Failures} in a row): {Fault}. It is tried again in {Minutes} minutes", name, failures, FaultText.Of(fault), wait.TotalMinutes);
            return;
        }

        log.LogCritical("The round {Name} failed ({Failures} in a row): {Fault}. The service ends with exit code {Code}, to be started anew", name, failures, FaultText.Of(fault), Commands.ExitCode.Internal);
        ending.Fail();
    }

    private sealed record Setback(int Failures, long At, TimeSpan Wait);
}
