using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>Plans patients: facts in, tasks out, one transaction each. Planning again changes nothing.</summary>
public sealed class PatientPlanning(Desk desk)
{
    /// <summary>How its runs are recorded.</summary>
    public const string RunKind = "planning";

    private const string FailureKind = "patient";


    /// <summary>Plans every patient; of a site, or of all. One that throws is recorded and passed by.</summary>
    /// <returns>How many were planned, and the ids of those that failed.</returns>
    public (int Planned, IReadOnlyList<string> Failed) PlanAll(string? siteId = null)
    {
        var startedAt = desk.Now;
        IReadOnlyList<string> patientIds;
        using (var reading = desk.Database.Read())
        {
            var ofSite = reading.Ledger.ListPatients().Where(patient => siteId is null || patient.SiteId == siteId).Select(patient => patient.Id).ToHashSet();
            patientIds = [.. reading.Snapshots.ListPatientIds().Where(ofSite.Contains)];
        }

        var failed = new List<string>();
        foreach (var patientId in patientIds)
        {
            if (!Try(patientId, () => Plan(patientId)))
                failed.Add(patientId);
        }

        using var transaction = desk.Database.Begin();
        transaction.Runs.Add(RunKind, siteId, startedAt, desk.Now, failed.Count > 0, $"{patientIds.Count - failed.Count} patients planned, {failed.Count} failed");
        transaction.Commit();
        return (patientIds.Count - failed.Count, failed);
    }

    /// <summary>Plans one patient in a transaction of its own.</summary>
    public void Plan(string patientId)
    {
        using var transaction = desk.Database.Begin();
        Plan(transaction, patientId);
        transaction.Commit();
    }

    /// <summary>Plans one patient in a transaction that has begun; null: no such patient, or none with a course.</summary>
    public PatientPlan? Plan(StoreTransaction transaction, string patientId)
    {
        if (transaction.Snapshots.Find(patientId) is not PatientSnapshot snapshot)
            return null;

        var now = desk.Now;
        var (plan, hours) = Work(snapshot, now);
        var onRecord = transaction.Tasks.ListOfPatient(patientId);
        var courses = snapshot.Courses.ToDictionary(course => course.Course.Id);
        var wanted = ListTasks(snapshot, plan, hours);
        bool IsMet(TaskOnRecord task) => task.Task.CourseId is string id && CourseTasks.IsMet(task, courses[id], hours.Today);
        transaction.Tasks.Apply(TaskChange.List(wanted, onRecord, IsMet), now);
        Age(transaction, patientId, hours, now);
        foreach (var course in plan.Courses)
        {
            var line = CourseLine.Of(courses[course.CourseId], course);
            transaction.Plans.Put(course.CourseId, line.Medicine, line.Findings, now);
        }

        return plan;
    }

    /// <summary>Works a patient out without writing anything, on the date of an instant at the site.</summary>
    public (PatientPlan Plan, WorkHours Hours) Work(PatientSnapshot snapshot, Instant now)
    {
        var site = snapshot.Courses[0].Site;
        var policy = desk.Settings.PolicyOf(site.Id);
        var today = Desk.Today(site, now);
        return (PlanningPipeline.Plan(snapshot.Courses, snapshot.Sharps, policy, today), new WorkHours(site, snapshot.Patient, policy, today));
    }

    private static List<PlannedTask> ListTasks(PatientSnapshot snapshot, PatientPlan plan, WorkHours hours) =>
    [
        .. snapshot.Courses.Zip(plan.Courses).SelectMany(pair => CourseTasks.List(pair.First, pair.Second, hours)),
        .. SharpsTasks.List(snapshot.Patient, plan.Sharps, hours),
    ];

    // What was due and is not done by the end of its day is overdue; what waits for an answer too long is so as well.
    private static void Age(StoreTransaction transaction, string patientId, WorkHours hours, Instant now)
    {
        foreach (var task in transaction.Tasks.ListOfPatient(patientId))
        {
            var border = task.State == TaskState.Waiting ? hours.OpenDays.Plus(task.Task.DueOn, hours.Policy.NoAnswerOpenDays) : task.Task.DueOn;
            if (task.State is TaskState.Due or TaskState.Waiting && border < hours.Today)
                transaction.Tasks.Move(task.Task.Key, TaskState.Overdue, now, TaskLife.Planner, null);
        }
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
        catch (Exception failure) when (failure is not OutOfMemoryException and not Microsoft.Data.Sqlite.SqliteException)
        {
            using var transaction = desk.Database.Begin();
            transaction.Runs.Add(FailureKind, patientId, startedAt, desk.Now, failed: true, $"{failure.GetType().Name}: {failure.Message}");
            transaction.Commit();
            return false;
        }
    }
}
