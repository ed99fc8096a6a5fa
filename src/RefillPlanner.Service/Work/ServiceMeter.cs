using System;
using System.Collections.Generic;
using System.Diagnostics.Metrics;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Mail;

namespace RefillPlanner.Service.Work;

/// <summary>A handful of numbers about the service. The only tag is the name of an outcome: no patient, no address, no key.</summary>
public sealed class ServiceMeter : IDisposable
{
    /// <summary>The meter's name.</summary>
    public const string Name = "RefillPlanner";

    private readonly Meter _meter = new(Name);
    private readonly Counter<long> _messages;
    private readonly Counter<long> _tasks;
    private readonly Counter<long> _failures;

    /// <summary>Begins to count.</summary>
    public ServiceMeter(Progress progress, Health health)
    {
        _messages = _meter.CreateCounter<long>("refill_planner.messages", "{message}", "Messages tried, by outcome.");
        _tasks = _meter.CreateCounter<long>("refill_planner.tasks_due", "{task}", "Tasks that became due.");
        _failures = _meter.CreateCounter<long>("refill_planner.rounds_failed", "{round}", "Rounds that failed.");
        _meter.CreateObservableGauge("refill_planner.progress_age", () => (long)progress.Age.TotalSeconds, "s", "Age of the last progress.");
        _meter.CreateObservableGauge("refill_planner.queue_length", () => health.Queued ?? 0, "{message}", "Messages that wait to be sent, as last counted.");
    }

    /// <summary>Whether an instrument is one of this meter's.</summary>
    public bool Owns(Instrument instrument) => instrument.Meter == _meter;

    /// <summary>A message was tried.</summary>
    public void CountMessage(DeliveryOutcome outcome) => _messages.Add(1, new KeyValuePair<string, object?>("outcome", Kebab.Of(outcome)));

    /// <summary>Tasks became due.</summary>
    public void CountTasks(int count) => _tasks.Add(count);

    /// <summary>A round failed.</summary>
    public void CountFailure() => _failures.Add(1);

    /// <inheritdoc/>
    public void Dispose() => _meter.Dispose();
}
