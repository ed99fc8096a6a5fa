using System;
using System.Collections.Generic;
using System.Diagnostics;

namespace RefillPlanner.CrashHook;

/// <summary>Waits for the program's listener to appear, and then hears each point that is passed.</summary>
/// <param name="orders">What to do there.</param>
internal sealed class PointListener(FaultOrders orders) : IObserver<DiagnosticListener>, IObserver<KeyValuePair<string, object?>>
{
    private const string ListenerName = "RefillPlanner";

    public void OnNext(DiagnosticListener value)
    {
        if (value.Name == ListenerName)
            value.Subscribe(this);
    }

    public void OnNext(KeyValuePair<string, object?> value) => orders.Pass(value.Key);

    public void OnCompleted()
    {
        // The program ends.
    }

    public void OnError(Exception error)
    {
        // A diagnostic listener reports none.
    }
}
