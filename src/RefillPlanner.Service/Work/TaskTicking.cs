using System;
using System.Linq;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>What a request about a task came to.</summary>
/// <param name="Before">The task as it stood; null: there is none.</param>
/// <param name="After">The task as it stands now; null: the request was refused, and nothing was changed.</param>
/// <param name="Refusal">Why, and what to do; null: it was not refused.</param>
public sealed record TickingOutcome(TaskOnRecord? Before, TaskOnRecord? After, string? Refusal);

/// <summary>What people ask of tasks: judged by the life of tasks, moved and audited in one transaction.</summary>
public sealed class TaskTicking(Desk desk, PatientPlanning planning)
{
    /// <summary>Does what a person asks of a task, on the record as it is now: its patient is planned first.</summary>
    /// <param name="named">The task's key, or its short name.</param>
    /// <param name="request">What is asked.</param>
    /// <param name="isDryRun">Judge only: nothing is written.</param>
    public TickingOutcome Do(string named, TaskRequest request, bool isDryRun)
    {
        using var transaction = desk.Database.Begin();
        var found = Find(transaction, named);
        if (found.Length == 0)
            return Refuse($"There is no task {named}. The list names each one: refill-planner due");
        if (found.Length > 1)
            return Refuse($"{named} is the short name of {found.Length} tasks. Give the whole key of one: {string.Join(" or ", found.Select(task => $"\"{task.Task.Key}\""))}");
        var (key, patientId) = (found[0].Task.Key, found[0].Task.PatientId);
        planning.Plan(transaction, patientId);
        var before = transaction.Tasks.Find(key)!;
        var snapshot = transaction.Snapshots.Find(patientId)!;
        var site = snapshot.Courses[0].Site;
        var now = desk.Now;
        var answer = request.Judge(before, new WorkHours(site, snapshot.Patient, desk.Settings.PolicyOf(site.Id), Desk.Today(site, now)), now);
        if (answer.Refusal is not null)
            return new TickingOutcome(before, After: null, answer.Refusal);
        foreach (var state in answer.Moves)
            transaction.Tasks.Move(key, state, now, request.By, state == TaskState.Due && before.State == TaskState.Planned ? TaskLife.BeforeItsDay : request.Because);
        if (answer is { DueOn: { } dueOn, DueAt: { } dueAt })
            transaction.Tasks.Postpone(key, dueOn, dueAt, request.Because!, now, request.By);
        var after = transaction.Tasks.Find(key);
        if (!isDryRun)
            transaction.Commit();
        return new TickingOutcome(before, after, Refusal: null);
    }

    private static TaskOnRecord[] Find(StoreTransaction transaction, string named)
    {
        if (transaction.Tasks.Find(new TaskKey(named)) is TaskOnRecord task)
            return [task];
        if (TaskKey.SubjectOf(named) is not string subject)
            return [];
        string?[] patientIds = [transaction.Snapshots.FindPatientId(subject), transaction.Ledger.FindSharps(subject)?.PatientId];
        return [.. patientIds.OfType<string>().Distinct(StringComparer.Ordinal).SelectMany(transaction.Tasks.ListOfPatient).Where(of => of.Task.Key.IsNamed(named))];
    }

    private static TickingOutcome Refuse(string why) => new(Before: null, After: null, why);
}
