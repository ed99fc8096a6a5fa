using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>Plans a patient: facts in, tasks out, in one transaction. Planning again changes nothing. For one thread.</summary>
public sealed class PatientPlanning(Desk desk)
{
    private const string FailureKind = "patient";

    // SQLite's word for a row that is there already, or whose like is missing.
    private const int Constraint = 19;

    // So many patients become durable together: a commit costs more than a patient.
    private const int MostInOne = 500;

    private readonly Workbench _bench = new();

    /// <summary>Plans one patient in a transaction of its own.</summary>
    public void Plan(string patientId)
    {
        using var transaction = desk.Database.Begin();
        Plan(transaction, patientId);
        transaction.Commit();
    }

    /// <summary>Plans patients, some together in a transaction. One that throws is recorded and passed by, and the others go on.</summary>
    /// <param name="patientIds">The patients.</param>
    /// <param name="tell">Is told each time how many more are done; null: nobody listens.</param>
    /// <param name="cancellation">Stops between two patients; what was planned and is not durable yet is planned again the next time.</param>
    /// <returns>How many were planned, and the ids of those that failed.</returns>
    /// <exception cref="OperationCanceledException">It was stopped.</exception>
    public (int Planned, IReadOnlyList<string> Failed) PlanEach(IEnumerable<string> patientIds, Action<int>? tell = null, CancellationToken cancellation = default)
    {
        var planned = 0;
        var failed = new List<string>();
        foreach (var some in patientIds.Chunk(MostInOne))
        {
            if (TryTogether(some, cancellation))
                planned += some.Length;
            else
                planned += some.Count(patientId => TryAlone(patientId, failed, cancellation));
            tell?.Invoke(some.Length);
        }

        return (planned, failed);
    }

    /// <summary>Plans one patient in a transaction that has begun; null: no such patient, or none with a course.</summary>
    public PatientPlan? Plan(StoreTransaction transaction, string patientId)
    {
        if (transaction.Snapshots.Find(patientId) is not PatientSnapshot snapshot)
        {
            transaction.Planning.Forget(patientId);
            return null;
        }

        var now = desk.Now;
        var (figures, hours) = Measure(snapshot, now);
        var plan = figures.Say();
        if (TakeBackOutdated(transaction, snapshot, plan, hours.Today, now))
        {
            snapshot = transaction.Snapshots.Find(patientId)!;
            (figures, hours) = Measure(snapshot, now);
            plan = figures.Say();
        }

        var onRecord = transaction.Tasks.ListOfPatient(patientId);
        var courses = snapshot.Courses.ToDictionary(course => course.Course.Id);
        bool IsMet(TaskOnRecord task) => task.Task.CourseId is string id ? CourseTasks.IsMet(task, courses[id], hours.Today) : SharpsTasks.IsMet(task, snapshot.Sharps, hours.Today);
        transaction.Tasks.Apply(TaskChange.List(ListTasks(snapshot, plan, hours, onRecord), onRecord, IsMet), now);
        foreach (var course in plan.Courses)
        {
            var others = plan.Courses.Where(other => other != course).Select(other => (courses[other.CourseId], other));
            var line = CourseLine.Of(courses[course.CourseId], course, UnitMix.ListOf(courses[course.CourseId], course, hours.Policy, others));
            transaction.Plans.Put(course.CourseId, line.Medicine, line.Findings, now);
        }

        foreach (var container in plan.Sharps)
            transaction.SharpsLives.Follow(container.SharpsId, container.State, now, TaskLife.Planner);
        transaction.Planning.Put(snapshot, figures.Bytes, figures.ChangeOn);
        return plan;
    }

    /// <summary>Works a patient out without writing anything, on the date of an instant at the site.</summary>
    public (PatientPlan Plan, WorkHours Hours) Work(PatientSnapshot snapshot, Instant now)
    {
        var (figures, hours) = Measure(snapshot, now);
        return (figures.Say(), hours);
    }

    /// <summary>Does something about one patient. If it throws, that is recorded and the others go on; a database that is away is not passed by.</summary>
    /// <returns>Whether it was done.</returns>
    public bool Try(string patientId, Action about)
    {
        var startedAt = desk.Now;
        try
        {
            about();
            return true;
        }
        catch (Exception failure) when (IsOfPatient(failure))
        {
            using var transaction = desk.Database.Begin();
            var reason = failure is DamagedRowException ? failure.Message : $"{failure.GetType().Name}: {failure.Message}";
            transaction.Runs.Add(FailureKind, patientId, startedAt, desk.Now, failed: true, reason);
            transaction.Planning.PutFailure(patientId, startedAt, reason);
            transaction.Commit();
            return false;
        }
    }

    // Nearly always all of them can be planned; when not, nothing of it was written.
    private bool TryTogether(string[] patientIds, CancellationToken cancellation)
    {
        using var transaction = desk.Database.Begin();
        Waypoints.Pass(Waypoints.PlanningBegun);
        try
        {
            foreach (var patientId in patientIds)
            {
                cancellation.ThrowIfCancellationRequested();
                Plan(transaction, patientId);
            }
        }
        catch (Exception failure) when (failure is not OperationCanceledException && IsOfPatient(failure))
        {
            return false;
        }

        Waypoints.Pass(Waypoints.Planned);
        transaction.Commit();
        Waypoints.Pass(Waypoints.PlanCommitted);
        return true;
    }

    private bool TryAlone(string patientId, List<string> failed, CancellationToken cancellation)
    {
        cancellation.ThrowIfCancellationRequested();
        if (Try(patientId, () => Plan(patientId)))
            return true;
        failed.Add(patientId);
        return false;
    }

    // What was signed has changed before its step began: the approval is taken back with today's date, so that no later day reads it otherwise.
    private static bool TakeBackOutdated(StoreTransaction transaction, PatientSnapshot snapshot, PatientPlan plan, LocalDate today, Instant now)
    {
        var voided = snapshot.Courses.SelectMany(course => course.Facts).Where(fact => fact.Kind == FactKind.Void && fact.On <= today).Select(fact => fact.Note).ToHashSet();
        var outdated = plan.Courses.SelectMany(course => course.OutdatedApprovals).Where(approval => !voided.Contains(approval.Id)).ToArray();
        foreach (var approval in outdated)
        {
            var taken = new Fact { Id = CourseSigning.FreeId(transaction, $"void {approval.Id}"), CourseId = approval.CourseId, Kind = FactKind.Void, On = today, Note = approval.Id };
            transaction.Ledger.Add(taken, now, TaskLife.Planner);
            transaction.Audit.Add(now, TaskLife.Planner, AuditSubject.Fact, taken.Id, null, "void", $"{approval.Id}: what was signed has changed, and the check is asked again");
        }

        return outdated.Length > 0;
    }

    private (PatientFigures Figures, WorkHours Hours) Measure(PatientSnapshot snapshot, Instant now)
    {
        var site = snapshot.Courses[0].Site;
        var policy = desk.Settings.PolicyOf(site.Id);
        var today = Desk.Today(site, now);
        return (PlanningPipeline.Measure(snapshot.Courses, snapshot.Sharps, policy, today, _bench), new WorkHours(site, snapshot.Patient, policy, today));
    }

    private static List<PlannedTask> ListTasks(PatientSnapshot snapshot, PatientPlan plan, WorkHours hours, IReadOnlyList<TaskOnRecord> onRecord)
    {
        List<PlannedTask> wanted =
        [
            .. snapshot.Courses.Zip(plan.Courses).SelectMany(pair => CourseTasks.List(pair.First, pair.Second, hours)),
            .. snapshot.Courses.SelectMany(course => CallTasks.ListRecalls(course, onRecord, hours.Today)),
            .. SharpsTasks.List(snapshot.Patient, plan.Sharps, hours),
        ];
        return [.. wanted, .. CallTasks.ListUnreached(wanted, onRecord)];
    }

    /// <summary>Whether a failure is about one patient or message only, so that the others can go on.</summary>
    public static bool IsOfPatient(Exception failure) => failure switch
    {
        OutOfMemoryException => false,
        SqliteException sqlite => sqlite.SqliteErrorCode == Constraint || DamagedRowException.IsDamage(sqlite),
        _ => true,
    };
}
