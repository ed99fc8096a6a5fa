using System;
using System.Threading;
using System.Threading.Tasks;
using RefillPlanner.Faults.Tests.Harness;
using Xunit;

namespace RefillPlanner.Faults.Tests.Checker;

/// <summary>A run in which the promise was kept, with a kill that left a copy, and a fact that was recorded: lived through once, to be spoiled in many ways.</summary>
public sealed class GoodRun(ImportedRoster rosters) : IAsyncLifetime
{
    private readonly Lock _lock = new();
    private Pharmacy? _pharmacy;

    /// <summary>What is known of it.</summary>
    internal Evidence Evidence { get; private set; } = null!;

    /// <inheritdoc/>
    public async ValueTask InitializeAsync()
    {
        _pharmacy = await Pharmacy.OpenAsync(rosters);
        var run = _pharmacy.Start(Pharmacy.At(0, 15), FaultOrder.KillAt("answered"));
        await run.EndAsync();
        _pharmacy.NoteKill(run);
        await _pharmacy.LiveAsync(Pharmacy.At(0, 15, 5));
        await _pharmacy.LiveAsync(Pharmacy.At(0, 20));
        await _pharmacy.RecordAsync(Pharmacy.At(0, 21), "SA-1", FaultRoster.CanaryCourse, "answered", "--note", "yes");
        Evidence = await _pharmacy.EvidenceAsync(Pharmacy.At(0, 22));
    }

    /// <summary>The evidence with a database that was changed behind the program's back.</summary>
    internal Evidence Spoil(string sql)
    {
        lock (_lock)
            return Evidence with { Record = DatabaseRecord.Read(_pharmacy!.Database, sql) };
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync()
    {
        _pharmacy?.Dispose();
        return ValueTask.CompletedTask;
    }
}
