using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.IO;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>One life of the service, from its start to its end, however it ends.</summary>
internal sealed class ServiceRun : IDisposable
{
    /// <summary>Exit code of a process that SIGKILL ended.</summary>
    public const int Killed = 128 + 9;

    private readonly Process _process;
    private readonly string _pointsFile;
    private readonly Lock _lock = new();
    private readonly List<string> _lines = [];
    private readonly TaskCompletionSource _ready = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly TaskCompletionSource _sent = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public ServiceRun(int number, Process prepared, string pointsFile)
    {
        Number = number;
        _process = prepared;
        _pointsFile = pointsFile;
        _process.OutputDataReceived += (_, said) => Hear(said.Data);
        _process.ErrorDataReceived += (_, said) => Hear(said.Data);
        _process.Start();
        _process.BeginOutputReadLine();
        _process.BeginErrorReadLine();
    }

    /// <summary>Which life, from 1.</summary>
    public int Number { get; }

    /// <summary>All that it said, to whatever stream.</summary>
    public IReadOnlyList<string> Lines
    {
        get
        {
            lock (_lock)
                return [.. _lines];
        }
    }

    /// <summary>The points that it passed, in order, as far as they are listened to.</summary>
    public IReadOnlyList<string> Points => File.Exists(_pointsFile) ? File.ReadAllLines(_pointsFile) : [];

    /// <summary>Waits until it says that it is ready: what was missed is made up for, but for mail that is to be sent.</summary>
    /// <exception cref="InvalidOperationException">It ended before; the message holds what it said.</exception>
    public Task ReadyAsync() => HeardAsync(_ready.Task);

    /// <summary>Waits until it has sent for the first time what might be sent.</summary>
    /// <exception cref="InvalidOperationException">It ended before; the message holds what it said.</exception>
    public Task SentAsync() => HeardAsync(_sent.Task);

    /// <summary>Waits until it has sent for the first time what might be sent, or has ended.</summary>
    /// <returns>Its exit code; null: it has sent.</returns>
    public async Task<int?> SentOrEndedAsync()
    {
        var ended = EndAsync();
        await Task.WhenAny(_sent.Task, ended).WaitAsync(RealProgram.Patience);
        return _sent.Task.IsCompleted ? null : await ended;
    }

    /// <summary>Waits for its end.</summary>
    /// <returns>Its exit code; 128 and the number of the signal where one ended it.</returns>
    public async Task<int> EndAsync()
    {
        await _process.WaitForExitAsync().WaitAsync(RealProgram.Patience);
        return _process.ExitCode;
    }

    /// <summary>kill -9.</summary>
    public async Task KillAsync()
    {
        _process.Kill();
        await EndAsync();
    }

    /// <summary>Asks it to stop, as a supervisor does.</summary>
    public Task TerminateAsync() => SignalAsync("TERM");

    /// <summary>Asks it to stop, and waits for its end.</summary>
    public async Task<int> StopAsync()
    {
        await TerminateAsync();
        return await EndAsync();
    }

    /// <summary>Lets a frozen one go on.</summary>
    public Task ThawAsync() => SignalAsync("CONT");

    /// <summary>Waits until it is frozen.</summary>
    public async Task FrozenAsync()
    {
        using var patience = new CancellationTokenSource(RealProgram.Patience);
        using var look = new PeriodicTimer(TimeSpan.FromMilliseconds(20));
        while (!IsFrozen())
            await look.WaitForNextTickAsync(patience.Token);
    }

    public void Dispose()
    {
        if (!_process.HasExited)
            _process.Kill();
        _process.Dispose();
    }

    // The state stands after the name, which is in parentheses: proc(5).
    private bool IsFrozen() => File.ReadAllText($"/proc/{_process.Id}/stat").Split(')').Last().TrimStart().StartsWith('T');

    private async Task HeardAsync(Task awaited)
    {
        var ended = EndAsync();
        await Task.WhenAny(awaited, ended).WaitAsync(RealProgram.Patience);
        if (!awaited.IsCompleted)
            throw new InvalidOperationException($"The service ended with {await ended} before that:\n{string.Join('\n', Lines)}");
    }

    private async Task SignalAsync(string name)
    {
        using var kill = Process.Start("kill", [$"-{name}", $"{_process.Id}"]);
        await kill.WaitForExitAsync().WaitAsync(RealProgram.Patience);
    }

    private void Hear(string? line)
    {
        if (line is null)
            return;
        lock (_lock)
            _lines.Add(line);
        if (line.EndsWith("; ready", StringComparison.Ordinal))
            _ready.TrySetResult();
        if (line.Contains("Mail round ended", StringComparison.Ordinal))
            _sent.TrySetResult();
    }
}
