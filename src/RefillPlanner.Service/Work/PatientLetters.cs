using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>The one mail of a day to a patient, merged from all tasks that the patient is to be told of.</summary>
public sealed class PatientLetters(MailComposer composer)
{
    private static readonly Duration Lifetime = Duration.FromDays(4);

    /// <summary>Writes it.</summary>
    /// <param name="snapshot">The patient.</param>
    /// <param name="plan">What was worked out.</param>
    /// <param name="hours">The patient's days and hours.</param>
    /// <param name="tasks">What it is about.</param>
    /// <param name="notBefore">When it may go: inside the sending window. Its day is part of the message's key.</param>
    /// <param name="now">The present instant.</param>
    public OutgoingMessage Compose(PatientSnapshot snapshot, PatientPlan plan, WorkHours hours, IReadOnlyList<PlannedTask> tasks, Instant notBefore, Instant now)
    {
        var site = snapshot.Courses[0].Site;
        var notice = PatientNotice.Of(snapshot.Patient, site);
        foreach (var task in tasks)
            notice = Add(notice, task, plan, hours, site);
        var message = composer.Compose(notice, snapshot.Patient, site, [.. tasks.Select(task => task.Key)], hours.PatientDate(notBefore), now);
        return message with { NotBefore = notBefore, ExpiresAt = notBefore + Lifetime };
    }

    private static PatientNotice Add(PatientNotice notice, PlannedTask task, PatientPlan plan, WorkHours hours, Site site)
    {
        var course = plan.Courses.FirstOrDefault(course => course.CourseId == task.CourseId);
        switch (task.Kind)
        {
            case TaskKind.RefillContact when course?.Refill is RefillPlan refill:
                return notice.WithRefill(hours.DueOn(refill.PrepareOn), refill.Handover, hours.Today);
            case TaskKind.SharpsReturn when plan.Sharps.FirstOrDefault(sharps => sharps.SharpsId == task.SharpsId) is { ReturnByOn: LocalDate returnBy } sharps:
                return notice.WithSharps(returnBy, site, hours.Today, isOld: sharps.ReplacedOn is not null);
            case TaskKind.DiscardNotice when course?.Discards.FirstOrDefault(discard => discard.IsOpen && task.Key.Text.Contains($"/{discard.ProductId} ", System.StringComparison.Ordinal)) is DiscardPlan discard:
                return notice.WithDiscard(discard.LastUseOn, discard.DiscardOn, hours.Today);
            default:
                return notice;
        }
    }
}
