using System;
using System.Diagnostics;
using RefillPlanner.CrashHook;

/// <summary>
/// Runs in the program before its own first line, where the runtime is told so (DOTNET_STARTUP_HOOKS), and listens to the named points that
/// the work passes. The runtime asks for this name, outside any namespace.
/// </summary>
#pragma warning disable CA1050, MA0047, RCS1110 // The runtime asks for the type by this bare name.
internal static class StartupHook
#pragma warning restore CA1050, MA0047, RCS1110
{
    /// <summary>Called by the runtime.</summary>
    public static void Initialize()
    {
        var orders = FaultOrders.Read();
        orders.Pass(FaultOrders.Start);
        DiagnosticListener.AllListeners.Subscribe(new PointListener(orders));
    }
}
