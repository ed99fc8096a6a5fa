using System;
using System.Runtime.InteropServices;
using System.Threading;

namespace RefillPlanner.Service.Commands;

/// <summary>
/// SIGTERM and SIGINT: the first asks the service to stop, which it does within 25 seconds in every case; a second ends the process at once,
/// with 128 and the signal's number.
/// </summary>
internal sealed class StopSignals : IDisposable
{
    private const int SignalBase = 128;
    private const int Interrupt = 2;
    private const int Terminate = 15;

    // The host has taken 20 seconds by then.
    private static readonly TimeSpan LastResort = TimeSpan.FromSeconds(23);

    private readonly CancellationTokenSource _stopping = new();
    private readonly TimeProvider _time;
    private readonly PosixSignalRegistration _interrupt;
    private readonly PosixSignalRegistration _terminate;
    private ITimer? _timer;
    private int _count;

    /// <summary>Listens from now on.</summary>
    public StopSignals(TimeProvider time)
    {
        _time = time;
        _interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, context => Take(context, Interrupt));
        _terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, context => Take(context, Terminate));
    }

    /// <summary>Ends when the first signal has come.</summary>
    public CancellationToken Stopping => _stopping.Token;

    /// <inheritdoc/>
    public void Dispose()
    {
        _interrupt.Dispose();
        _terminate.Dispose();
        _timer?.Dispose();
        _stopping.Dispose();
    }

    private void Take(PosixSignalContext context, int number)
    {
        context.Cancel = true;
        if (Interlocked.Increment(ref _count) > 1)
            Environment.Exit(SignalBase + number);
        _timer = _time.CreateTimer(_ => Environment.Exit(ExitCode.Done), state: null, LastResort, Timeout.InfiniteTimeSpan);
        _stopping.Cancel();
    }
}
