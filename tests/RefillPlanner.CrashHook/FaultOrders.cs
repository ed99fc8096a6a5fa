using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Globalization;
using System.IO;
using System.Runtime.InteropServices;
using System.Threading;

namespace RefillPlanner.CrashHook;

/// <summary>
/// What is to happen at which point, from the environment. Each order is <c>name:n</c>, the n-th time that the point is passed, or
/// <c>name:n:times</c>, that often from then on; the name <c>*</c> is any point, <c>start</c> the program's first moment.
/// <c>REFILL_FAULT_POINT</c> kills the program, after <c>REFILL_FAULT_DELAY</c> milliseconds where that is given; <c>REFILL_FAULT_THROW</c>
/// throws; <c>REFILL_FAULT_STOP</c> freezes it, until somebody lets it go on. <c>REFILL_FAULT_LOG</c> names a file that gets a line a point.
/// </summary>
internal sealed class FaultOrders
{
    /// <summary>The name of the program's first moment.</summary>
    public const string Start = "start";

    private const int SigStop = 19;
    private readonly Lock _lock = new();
    private readonly Dictionary<string, int> _passed = [];
    private readonly string? _log = Environment.GetEnvironmentVariable("REFILL_FAULT_LOG");
    private readonly int _delay = int.TryParse(Environment.GetEnvironmentVariable("REFILL_FAULT_DELAY"), NumberStyles.None, CultureInfo.InvariantCulture, out var wait) ? wait : 0;
    private readonly Order? _kill = Order.Of("REFILL_FAULT_POINT");
    private readonly Order? _throw = Order.Of("REFILL_FAULT_THROW");
    private readonly Order? _stop = Order.Of("REFILL_FAULT_STOP");
    private Timer? _later;

    private FaultOrders()
    {
    }

    /// <summary>Reads them.</summary>
    public static FaultOrders Read() => new();

    /// <summary>A point is passed.</summary>
    /// <exception cref="InvalidOperationException">It was ordered.</exception>
    public void Pass(string name)
    {
        lock (_lock)
        {
            var times = Count(name);
            var all = name == Start ? 0 : Count("*");
            if (_log is not null)
                File.AppendAllText(_log, name + "\n");
            if (_kill?.IsFor(name, times, all) == true)
                Kill();
            if (_stop?.IsFor(name, times, all) == true)
                _ = Signal(Environment.ProcessId, SigStop);
            if (_throw?.IsFor(name, times, all) == true)
                throw new InvalidOperationException($"Ordered by a test at {name}.");
        }
    }

    private int Count(string name) => _passed[name] = _passed.GetValueOrDefault(name) + 1;

    private void Kill()
    {
        if (_delay > 0)
        {
            _later ??= new Timer(_ => KillNow(), state: null, _delay, Timeout.Infinite);
            return;
        }

        KillNow();
    }

    private static void KillNow()
    {
        using var self = Process.GetCurrentProcess();
        self.Kill();
        Thread.Sleep(Timeout.Infinite); // Nothing more is done by this thread.
    }

    [DllImport("libc", EntryPoint = "kill", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Signal(int process, int signal);

    private sealed record Order(string Name, int From, int Times)
    {
        public static Order? Of(string variable)
        {
            if (Environment.GetEnvironmentVariable(variable) is not { Length: > 0 } text)
                return null;
            var parts = text.Split(':');
            return new Order(parts[0], Number(parts, 1), Number(parts, 2));
        }

        public bool IsFor(string name, int times, int all) =>
            Name == "*" ? name != Start && IsWithin(all) : name == Name && IsWithin(times);

        private bool IsWithin(int times) => times >= From && times - From < Times;

        private static int Number(string[] parts, int place) =>
            parts.Length > place ? int.Parse(parts[place], NumberStyles.None, CultureInfo.InvariantCulture) : 1;
    }
}
