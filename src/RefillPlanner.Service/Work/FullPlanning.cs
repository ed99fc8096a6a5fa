using System;
using System.Collections.Concurrent;
using System.Collections.Generic;
using System.Linq;
using System.Runtime.ExceptionServices;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Plans all patients again, in order, on all cores, in the memory of a few: each is read as one row and worked out; only where something
/// else comes out than the last time is it planned and written. A run that was stopped is taken up where it was. One use.
/// </summary>
internal sealed class FullPlanning
{
    private const int PatientsInChunk = 500;
    private const int ChunksBetweenMarks = 200;
    private const int MostChunksWaiting = 100;
    private const int PatientsInTransaction = 500;

    // Of more it does not keep in memory who they are: they are planned beforehand.
    private const int MostWanted = 100_000;

    private readonly Desk _desk;
    private readonly PatientPlanning _planning;
    private readonly Reference _reference;
    private readonly string _basis;
    private readonly Dictionary<string, LocalDate> _todays;
    private readonly Lock _reading = new();
    private readonly BlockingCollection<(int Number, string LastId, string[] Changed)> _looked = new(MostChunksWaiting);
    private readonly HashSet<string> _wanted;
    private readonly Dictionary<int, string> _finished = [];
    private readonly List<string> _changed = [];
    private readonly List<string> _failed = [];
    private string _readThrough;
    private string _doneThrough;
    private int _nextChunk;
    private int _firstOpenChunk;
    private int _planned;

    private FullPlanning(Desk desk, PatientPlanning planning, Reference reference, HashSet<string> wanted, string basis, string doneThrough)
    {
        (_desk, _planning, _reference, _wanted, _basis) = (desk, planning, reference, wanted, basis);
        (_readThrough, _doneThrough) = (doneThrough, doneThrough);
        _todays = reference.Sites.Values.ToDictionary(site => site.Id, site => Desk.Today(site, desk.Now));
    }

    /// <summary>Whether what all plans stand on has changed since all were planned, or a run was stopped.</summary>
    public static bool IsCalledFor(Desk desk)
    {
        using var reading = desk.Database.Read();
        return reading.Planning.FindBasis().Basis != PlanBasis.Of(reading.Snapshots.ReadReference(), desk.Settings);
    }

    /// <summary>Plans all, whether or not anything calls for it.</summary>
    /// <param name="desk">Database, settings, clock.</param>
    /// <param name="planning">Plans those for whom something else comes out.</param>
    /// <param name="tell">Is told how many patients more are done; null: nobody listens.</param>
    /// <param name="cancellation">Stops between two chunks.</param>
    /// <returns>How many patients were planned anew, and the ids of those that failed.</returns>
    /// <exception cref="OperationCanceledException">It was stopped.</exception>
    public static (int Planned, IReadOnlyList<string> Failed) Run(Desk desk, PatientPlanning planning, Action<int>? tell = null, CancellationToken cancellation = default)
    {
        FullPlanning run;
        using (var reading = desk.Database.Read())
        {
            var reference = reading.Snapshots.ReadReference();
            var (basis, known) = (PlanBasis.Of(reference, desk.Settings), reading.Planning.FindBasis());
            var wanted = reading.Planning.ListWanted(string.Empty, MostWanted).ToHashSet(StringComparer.Ordinal);
            run = new FullPlanning(desk, planning, reference, wanted, basis, known.ComingBasis == basis ? known.DoneThrough! : string.Empty);
        }

        run.LookAndPlan(tell, cancellation);
        cancellation.ThrowIfCancellationRequested();
        return (run._planned, run._failed);
    }

    // All cores look, one thread plans and writes what they find; each waits for the other, and stops with it.
    private void LookAndPlan(Action<int>? tell, CancellationToken cancellation)
    {
        using var broken = new CancellationTokenSource();
        var planning = Task.Factory.StartNew(() => Plan(broken), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        try
        {
            Parallel.For(0, Environment.ProcessorCount, _ => Look(tell, broken.Token, cancellation));
        }
        catch (AggregateException several)
        {
            ExceptionDispatchInfo.Throw(several.InnerExceptions[0]);
        }
        finally
        {
            _looked.CompleteAdding();
            planning.GetAwaiter().GetResult();
        }

        End(isWhole: !cancellation.IsCancellationRequested);
    }

    // A chunk that was taken is looked at to its end, also when the run is to stop.
    private void Look(Action<int>? tell, CancellationToken broken, CancellationToken cancellation)
    {
        var bench = new Workbench();
        while (!cancellation.IsCancellationRequested && TakeChunk() is (int number, PlannedPatient[] chunk))
        {
            string[] changed = [.. chunk.Where(patient => HasChanged(patient, bench)).Select(patient => patient.PatientId)];
            try
            {
                _looked.Add((number, chunk[^1].PatientId, changed), broken);
            }
            catch (OperationCanceledException)
            {
                return; // Planning failed, and says why.
            }

            tell?.Invoke(chunk.Length);
        }
    }

    private void Plan(CancellationTokenSource broken)
    {
        try
        {
            foreach (var (number, lastId, changed) in _looked.GetConsumingEnumerable())
                Finish(number, lastId, changed);
        }
        catch
        {
            broken.Cancel();
            throw;
        }
    }

    private (int Number, PlannedPatient[] Chunk)? TakeChunk()
    {
        lock (_reading)
        {
            using var reading = _desk.Database.Read();
            var chunk = reading.Planning.ListAfter(_readThrough, PatientsInChunk);
            if (chunk.Length == 0)
                return null;
            _readThrough = chunk[^1].PatientId;
            return (_nextChunk++, chunk);
        }
    }

    // Whether planning would find something else. One that cannot be worked out is to be planned, which records why.
    private bool HasChanged(in PlannedPatient planned, Workbench bench)
    {
        if (planned.Record.Length == 0 || !_todays.TryGetValue(planned.SiteId, out var today))
            return true;
        if (planned.ChangeOn <= today || _wanted.Contains(planned.PatientId))
            return true;
        try
        {
            return PlanningStore.Unpack(planned, _reference) is not PatientSnapshot snapshot
                || !PlanningPipeline.Measure(snapshot.Courses, snapshot.Sharps, _desk.Settings.PolicyOf(planned.SiteId), today, bench).Bytes.SequenceEqual(planned.Figures);
        }
        catch (Exception failure) when (failure is not OutOfMemoryException)
        {
            return true;
        }
    }

    // Chunks are finished in any order; the run is done through the last one before which none is open.
    private void Finish(int number, string lastId, string[] changed)
    {
        _changed.AddRange(changed);
        _finished.Add(number, lastId);
        var before = _firstOpenChunk / ChunksBetweenMarks;
        for (; _finished.Remove(_firstOpenChunk, out var through); _firstOpenChunk++)
            _doneThrough = through;
        if (_firstOpenChunk / ChunksBetweenMarks > before)
            End(isWhole: false);
        else if (_changed.Count >= PatientsInTransaction)
            PlanChanged();
    }

    private void PlanChanged()
    {
        var (planned, failed) = _planning.PlanEach(_changed);
        _planned += planned;
        _failed.AddRange(failed);
        _changed.Clear();
    }

    private void End(bool isWhole)
    {
        PlanChanged();
        using var transaction = _desk.Database.Begin();
        if (isWhole)
            transaction.Planning.SetBasis(_basis);
        else
            transaction.Planning.SetDoneThrough(_basis, _doneThrough);
        transaction.Commit();
    }
}
