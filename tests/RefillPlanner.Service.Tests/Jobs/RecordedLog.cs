using System;
using System.Collections.Concurrent;
using Microsoft.Extensions.Logging;

namespace RefillPlanner.Service.Tests.Jobs;

/// <summary>Keeps every line that is logged, with what an exception would add to it.</summary>
internal sealed class RecordedLog : ILoggerProvider, ILogger
{
    public ConcurrentQueue<(LogLevel Level, string Text)> Lines { get; } = [];

    public ILogger CreateLogger(string categoryName) => this;

    public IDisposable? BeginScope<TState>(TState state)
        where TState : notnull => null;

    public bool IsEnabled(LogLevel logLevel) => true;

    public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
        Lines.Enqueue((logLevel, $"{formatter(state, exception)} {exception}"));

    public void Dispose()
    {
        // Nothing is held.
    }
}
