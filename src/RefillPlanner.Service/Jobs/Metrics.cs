using System;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using OpenTelemetry.Metrics;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Jobs;

/// <summary>The service's numbers leave it only where the standard variable of OpenTelemetry names a collector.</summary>
internal static class Metrics
{
    private static readonly string[] Endpoints = ["OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_METRICS_ENDPOINT"];

    /// <summary>Exports them, where that is asked for.</summary>
    public static void Export(HostApplicationBuilder host)
    {
        if (Array.TrueForAll(Endpoints, name => string.IsNullOrEmpty(Environment.GetEnvironmentVariable(name))))
            return;
        Add(host);
    }

    // Apart, so that a start without them does not load the library.
    private static void Add(HostApplicationBuilder host)
    {
        host.Configuration.AddEnvironmentVariables(); // Where the library looks for the standard variables.
        host.Services.AddOpenTelemetry().WithMetrics(metrics => metrics.AddMeter(ServiceMeter.Name).AddOtlpExporter());
    }
}
