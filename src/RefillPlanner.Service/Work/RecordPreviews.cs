using System;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Messages about what is on record, as they would be written now. Nothing is written down, and nobody is told: what was said already is
/// shown again.
/// </summary>
/// <param name="desk">Database, settings, clock.</param>
/// <param name="composer">Writes them.</param>
internal sealed class RecordPreviews(Desk desk, MailComposer composer)
{
    private readonly PatientPlanning _planning = new(desk);
    private readonly PatientLetters _letters = new(composer);

    /// <summary>The refill-due list of a site, in the words of the last planning; null: there is no such site.</summary>
    public Preview? FindList(string siteId)
    {
        using var reading = desk.Database.Read();
        if (reading.Ledger.ListSites().FirstOrDefault(site => site.Id == siteId) is not Site site)
            return null;
        var morning = new MorningWork(desk, _planning, new DueTasks(desk, _planning, _letters, composer), composer);
        return Preview.Of(composer.Compose(morning.List(reading, site, desk.Now), site, desk.Now), site);
    }

    /// <summary>The alert of a course's next check; null: there is no such course, or no check is asked.</summary>
    public Preview? FindAlert(string courseId)
    {
        if (FindPatientOf(courseId) is not PatientSnapshot snapshot)
            return null;
        var now = desk.Now;
        var (plan, hours) = _planning.Work(snapshot, now);
        var pairs = snapshot.Courses.Zip(plan.Courses).ToArray();
        var (course, of) = pairs.First(pair => pair.First.Course.Id == courseId);
        if ((of.StepUp ?? of.HeldBack) is not StepUpPlan check)
            return null;
        var alert = StepUpAlert.Of(course, of, check, hours.Policy, Others(pairs, course));
        return Preview.Of(composer.Compose(alert, course, new TaskKey("preview"), isToManager: false, hours.Today, now), course.Site);
    }

    /// <summary>The next mail to a patient; null: there is no such patient, or nothing to say.</summary>
    /// <param name="patientId">The patient.</param>
    /// <param name="only">The one task kind that it is to speak of; null: all that come on its day.</param>
    /// <param name="language">Another language than the patient's; null: the patient's.</param>
    public Preview? FindNotice(string patientId, TaskKind? only, Language? language)
    {
        if (Find(patientId) is not PatientSnapshot snapshot)
            return null;
        snapshot = In(language, snapshot);
        var now = desk.Now;
        var (plan, hours) = _planning.Work(snapshot, now);
        var tasks = snapshot.Courses.Zip(plan.Courses).SelectMany(pair => CourseTasks.List(pair.First, pair.Second, hours))
            .Concat(SharpsTasks.List(snapshot.Patient, plan.Sharps, hours))
            .Where(task => CourseTasks.IsForPatient(task) && (only is null || task.Kind == only))
            .OrderBy(task => task.DueAt)
            .ToArray();
        if (tasks.Length == 0)
            return null;
        var together = tasks.Where(task => task.DueAt <= now || task.DueAt == tasks[0].DueAt).ToArray();
        var notBefore = hours.NextPatientHour(tasks[0].DueAt > now ? tasks[0].DueAt : now);
        return Preview.Of(_letters.Compose(snapshot, plan, hours, together, notBefore, now), snapshot.Courses[0].Site);
    }

    /// <summary>The printed page of a course, or why there is none; both null: there is no such course.</summary>
    /// <param name="courseId">The course.</param>
    /// <param name="language">Another language than the patient's; null: the patient's.</param>
    public (Preview? Page, string? WhyNot) FindSheet(string courseId, Language? language)
    {
        if (FindPatientOf(courseId) is not PatientSnapshot snapshot)
            return (null, null);
        snapshot = In(language, snapshot);
        var now = desk.Now;
        var (plan, hours) = _planning.Work(snapshot, now);
        var pairs = snapshot.Courses.Zip(plan.Courses).ToArray();
        var (course, of) = pairs.First(pair => pair.First.Course.Id == courseId);
        if (PatientSheet.WhyNot(course, of) is string whyNot)
            return (null, whyNot);
        var sheet = PatientSheet.Of(course, of, hours.Policy, Others(pairs, course));
        return (Preview.OfPage(composer.Page(sheet), composer.Calendar(sheet, course.Site, now)), null);
    }

    // The courses beside one that go on, and whose syringes may be mixed up with its own.
    private static (CourseSnapshot Course, CoursePlan Plan)[] Others((CourseSnapshot First, CoursePlan Second)[] pairs, CourseSnapshot course) =>
        [.. pairs.Where(pair => pair.First != course && pair.Second.Supply.Outcome is not (Outcome.Ends or Outcome.NotComputed))];

    private static PatientSnapshot In(Language? language, PatientSnapshot snapshot)
    {
        if (language is not Language other)
            return snapshot;
        var patient = snapshot.Patient with { Language = other };
        return snapshot with { Patient = patient, Courses = [.. snapshot.Courses.Select(course => course with { Patient = patient })] };
    }

    private PatientSnapshot? FindPatientOf(string courseId)
    {
        using var reading = desk.Database.Read();
        return reading.Snapshots.FindPatientId(courseId) is string patientId ? reading.Snapshots.Find(patientId) : null;
    }

    private PatientSnapshot? Find(string patientId)
    {
        using var reading = desk.Database.Read();
        return reading.Snapshots.Find(patientId);
    }
}
