using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Turns planned tasks whose hour has come into due ones, and decides what is to be said about them: the change and the message are one
/// transaction. Doing it twice, late or after a kill changes nothing.
/// </summary>
public sealed class DueTasks(Desk desk, PatientPlanning planning, PatientLetters letters, MailComposer composer)
{
    private const string By = TaskLife.Planner;

    /// <summary>Takes every task whose hour has come.</summary>
    /// <param name="tell">Is told each time how many more became due; null: nobody listens.</param>
    /// <param name="cancellation">Stops between two patients; the rest is taken the next time.</param>
    /// <returns>How many became due.</returns>
    public int TakeAll(Action<int>? tell = null, CancellationToken cancellation = default)
    {
        IReadOnlyList<string> patientIds;
        using (var reading = desk.Database.Read())
            patientIds = reading.Tasks.ListPatientsPlannedUntil(desk.Now);
        var taken = 0;
        foreach (var patientId in patientIds.TakeWhile(_ => !cancellation.IsCancellationRequested))
        {
            planning.Try(patientId, () =>
            {
                var count = Take(patientId);
                taken += count;
                tell?.Invoke(count);
            });
        }

        return taken;
    }

    private int Take(string patientId)
    {
        using var transaction = desk.Database.Begin();
        var now = desk.Now;
        if (transaction.Snapshots.Find(patientId) is not PatientSnapshot snapshot)
            return 0;
        var due = transaction.Tasks.ListOfPatient(patientId).Where(task => task.State == TaskState.Planned && task.Task.DueAt <= now).ToArray();
        var (plan, hours) = planning.Work(snapshot, now);

        // At most one mail a day, by the day on which it goes: what comes due after it waits for the next.
        var told = due.Where(task => CourseTasks.IsForPatient(task.Task)).ToArray();
        var goesOn = hours.PatientDate(hours.NextPatientHour(now));
        var hasToldToday = transaction.Outbox.Has(MessageKey.Of(MessageKind.PatientNotice, patientId, goesOn));
        if (hasToldToday)
            due = [.. due.Except(told)];
        foreach (var task in due)
            transaction.Tasks.Move(task.Task.Key, TaskState.Due, now, By, null);
        if (told.Length > 0 && !hasToldToday)
            TellPatient(transaction, snapshot, plan, hours, [.. told.Select(task => task.Task)], now);
        foreach (var task in due.Where(task => task.Task.Kind == TaskKind.StepUpCheck))
            Alert(transaction, snapshot, plan, task.Task, hours, now);
        Waypoints.Pass(Waypoints.DueDecided);
        transaction.Commit();
        Waypoints.Pass(Waypoints.DueCommitted);
        return due.Length;
    }

    /// <summary>Alerts the pharmacist, and once the date of the check has come the manager too, once on an open day.</summary>
    public void Alert(StoreTransaction transaction, PatientSnapshot snapshot, PatientPlan plan, PlannedTask task, WorkHours hours, Instant now)
    {
        var course = snapshot.Courses.First(course => course.Course.Id == task.CourseId);
        var coursePlan = plan.Courses.First(course => course.CourseId == task.CourseId);
        if (CourseTasks.FindCheck(coursePlan, task.Key) is not StepUpPlan check)
            return;
        var others = snapshot.Courses.Zip(plan.Courses).Where(pair => pair.First != course && pair.Second.Supply.Outcome is not (Outcome.Ends or Outcome.NotComputed));
        var alert = StepUpAlert.Of(course, coursePlan, check, hours.Policy, [.. others]);
        transaction.Outbox.Add(composer.Compose(alert, course, task.Key, isToManager: false, hours.Today, now));
        if (hours.Today >= check.CheckByOn && course.Site.ManagerEmail is not null)
            transaction.Outbox.Add(composer.Compose(alert, course, task.Key, isToManager: true, hours.Today, now));
    }

    private void TellPatient(StoreTransaction transaction, PatientSnapshot snapshot, PatientPlan plan, WorkHours hours, IReadOnlyList<PlannedTask> tasks, Instant now)
    {
        var notBefore = hours.NextPatientHour(now);
        var message = letters.Compose(snapshot, plan, hours, tasks, notBefore, now);
        transaction.Outbox.Add(message);
        if (message.To is null)
            return;
        foreach (var task in tasks)
            transaction.Tasks.Move(task.Key, TaskState.Waiting, now, By, "the patient was written to");
    }
}
