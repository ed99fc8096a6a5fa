using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tasks;

/// <summary>Calls that something else than the plan asks for - a recalled lot, a mail that did not arrive - and that planning keeps until they are made.</summary>
public static class CallTasks
{
    private const string NotReached = "Call: the mail did not reach the patient.";

    /// <summary>
    /// The calls about a recalled lot that are still to be made: a person queued them, and they stay until made, or until the fact by which the
    /// stock was thrown away is taken back.
    /// </summary>
    /// <param name="course">The course.</param>
    /// <param name="onRecord">All tasks of its patient.</param>
    /// <param name="asOf">The day of planning.</param>
    public static IEnumerable<PlannedTask> ListRecalls(CourseSnapshot course, IReadOnlyList<TaskOnRecord> onRecord, LocalDate asOf)
    {
        if (course.Patient.Status != PatientStatus.Active)
            return [];
        var voided = course.Facts.Where(fact => fact.Kind == FactKind.Void && fact.On <= asOf).Select(fact => fact.Note).ToHashSet();
        return onRecord
            .Where(record => record.Task.Kind == TaskKind.RecallCall && record.Task.CourseId == course.Course.Id && TaskLife.IsOpen(record.State)
                && course.Facts.Any(fact => !voided.Contains(fact.Id) && record.Task.Key == RecallKey(course.Course.Id, fact.Id)))
            .Select(record => record.Task);
    }

    /// <summary>The call to a patient whose stock of a recalled lot was thrown away by a fact.</summary>
    /// <param name="course">The course.</param>
    /// <param name="thrown">The fact.</param>
    /// <param name="reason">What was recalled, and what of it the patient has.</param>
    /// <param name="hours">The hours of the day.</param>
    public static PlannedTask Recall(CourseSnapshot course, Fact thrown, string reason, WorkHours hours)
    {
        var dueOn = hours.DueOn(hours.Today);
        return new PlannedTask
        {
            Key = RecallKey(course.Course.Id, thrown.Id),
            Kind = TaskKind.RecallCall,
            SiteId = course.Site.Id,
            PatientId = course.Patient.Id,
            CourseId = course.Course.Id,
            PlannedOn = dueOn,
            DueOn = dueOn,
            DueAt = hours.StaffHour(dueOn),
            Reason = reason,
        };
    }

    /// <summary>The call to a patient whom the mail about the next supply did not reach.</summary>
    /// <param name="contact">The task that the mail was about.</param>
    /// <param name="hours">The hours of the day.</param>
    public static PlannedTask Unreached(PlannedTask contact, WorkHours hours)
    {
        var dueOn = hours.DueOn(hours.Today);
        return contact with
        {
            Key = ReachKey(contact.Key),
            Kind = TaskKind.CannotReach,
            PlannedOn = dueOn,
            DueOn = dueOn,
            DueAt = hours.StaffHour(dueOn),
            Reason = $"{NotReached} {contact.Reason}",
        };
    }

    /// <summary>The calls after a mail that did not arrive which are still to be made: as long as the question that the mail asked is open.</summary>
    /// <param name="wanted">All tasks that planning wants for the patient.</param>
    /// <param name="onRecord">All tasks of the patient.</param>
    public static IEnumerable<PlannedTask> ListUnreached(IReadOnlyList<PlannedTask> wanted, IReadOnlyList<TaskOnRecord> onRecord)
    {
        var known = onRecord.ToDictionary(record => record.Task.Key);
        foreach (var contact in wanted.Where(task => task.Kind == TaskKind.RefillContact))
        {
            if (known.TryGetValue(ReachKey(contact.Key), out var record) && TaskLife.IsOpen(record.State) && record.Task.Reason.StartsWith(NotReached, StringComparison.Ordinal)
                && wanted.All(task => task.Key != record.Task.Key))
                yield return record.Task with { Reason = $"{NotReached} {contact.Reason}" };
        }
    }

    /// <summary>The key of the call that asks what a contact asks.</summary>
    public static TaskKey ReachKey(TaskKey contact) => TaskKey.Of(TaskKind.CannotReach, contact.Subject, contact.Cycle);

    private static TaskKey RecallKey(string courseId, string factId) => TaskKey.Of(TaskKind.RecallCall, courseId, factId);
}
