using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Plans whom a change calls for: those about whom something new is on record, those whose plan names a date that has come, and all of them
/// when settings, a site, a product or a device have changed.
/// </summary>
public sealed class PlanningOnChange(Desk desk, PatientPlanning planning)
{
    /// <summary>How its runs are recorded.</summary>
    public const string RunKind = "planning";

    private const int MostWanted = 5_000;

    /// <summary>How many patients are to be looked at, besides those whose plan names a date that has come.</summary>
    public long CountCalledFor()
    {
        try
        {
            return Read(reading => reading.Planning.CountWanted()) + (FullPlanning.IsCalledFor(desk) ? Read(reading => reading.Planning.CountPlanned()) : 0);
        }
        catch (Exception damage) when (DamagedRowException.IsDamage(damage))
        {
            return 0; // Planning will say so.
        }
    }

    /// <summary>Plans them.</summary>
    /// <param name="siteId">Whose dates are looked at; null: those of all sites.</param>
    /// <param name="tell">Is told how many patients more are done; null: nobody listens.</param>
    /// <param name="cancellation">Stops between two patients; what was done stays, and the next time goes on from there.</param>
    /// <returns>How many patients were planned, and the ids of those that failed; an empty id: planning as a whole, because of damage on disk.</returns>
    public (int Planned, IReadOnlyList<string> Failed) Run(string? siteId = null, Action<int>? tell = null, CancellationToken cancellation = default)
    {
        var startedAt = desk.Now;
        var failed = new List<string>();
        var planned = 0;
        var outcome = string.Empty;
        try
        {
            planned = Plan(siteId, failed, tell, cancellation);
            outcome = $"{planned} patients planned, {failed.Count} failed";
        }
        catch (Exception damage) when (DamagedRowException.IsDamage(damage))
        {
            // What all plans stand on is damaged: nothing can be planned, and the list says so.
            outcome = damage.Message;
            failed.Add(string.Empty);
        }

        using var transaction = desk.Database.Begin();
        transaction.Runs.Add(RunKind, siteId, startedAt, desk.Now, failed.Count > 0, outcome);
        if (failed.Contains(string.Empty))
            transaction.Planning.PutFailure(string.Empty, startedAt, outcome);
        else
            transaction.Planning.EndFailure(string.Empty);
        transaction.Commit();
        return (planned, failed);
    }

    private int Plan(string? siteId, List<string> failed, Action<int>? tell, CancellationToken cancellation)
    {
        var planned = FullPlanning.IsCalledFor(desk) ? Add(FullPlanning.Run(desk, planning, tell, cancellation), failed) : 0;
        planned += PlanWanted(failed, tell, cancellation);
        foreach (var site in ListSites().Where(site => siteId is null || site.Id == siteId))
        {
            cancellation.ThrowIfCancellationRequested();
            planned += PlanChanging(site, failed, tell, cancellation);
            Age(site);
        }

        return planned;
    }

    // A patient that failed stays wanted, for the next time.
    private int PlanWanted(List<string> failed, Action<int>? tell, CancellationToken cancellation)
    {
        var planned = 0;
        for (var after = string.Empty; ;)
        {
            cancellation.ThrowIfCancellationRequested();
            var wanted = Read(reading => reading.Planning.ListWanted(after, MostWanted));
            if (wanted.Count == 0)
                return planned;
            planned += Add(planning.PlanEach(wanted, tell, cancellation), failed);
            after = wanted[^1];
        }
    }

    private int PlanChanging(Site site, List<string> failed, Action<int>? tell, CancellationToken cancellation) =>
        Add(planning.PlanEach(Read(reading => reading.Planning.ListChangingBy(site.Id, Desk.Today(site, desk.Now))), tell, cancellation), failed);

    private static int Add((int Planned, IReadOnlyList<string> Failed) done, List<string> failed)
    {
        failed.AddRange(done.Failed);
        return done.Planned;
    }

    // What was due and is not done by the end of its day is overdue; what waits for an answer too long is so as well.
    private void Age(Site site)
    {
        var now = desk.Now;
        var today = Desk.Today(site, now);
        var openDays = new OpenDays(site);
        var policy = desk.Settings.PolicyOf(site.Id);
        if (Read(reading => reading.Tasks.ListDueBefore(site.Id, today)).Count == 0)
            return;
        using var transaction = desk.Database.Begin();
        foreach (var task in transaction.Tasks.ListDueBefore(site.Id, today))
        {
            if (Border(task, openDays, policy, site) < today)
                transaction.Tasks.Move(task.Task.Key, TaskState.Overdue, now, TaskLife.Planner, null);
        }

        transaction.Commit();
    }

    // The last day on which it is still in time: an answer is awaited from the day on which was asked, a pharmacist has from the alert to the date of the check.
    private static LocalDate Border(TaskOnRecord task, OpenDays openDays, Policy policy, Site site) => task switch
    {
        { State: TaskState.Waiting } => openDays.Plus(LocalDate.Max(task.Task.DueOn, Desk.Today(site, task.ChangedAt)), policy.NoAnswerOpenDays),
        { Task.Kind: TaskKind.StepUpCheck } => LocalDate.Max(task.Task.DueOn, openDays.Plus(task.Task.PlannedOn, policy.AlertOpenDays)),
        _ => task.Task.DueOn,
    };

    private IReadOnlyList<Site> ListSites() => Read(reading => reading.Ledger.ListSites());

    private T Read<T>(Func<StoreTransaction, T> read)
    {
        using var reading = desk.Database.Read();
        return read(reading);
    }
}
