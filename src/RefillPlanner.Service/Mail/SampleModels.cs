using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Service.Mail;

/// <summary>What a template is rendered with when it is tried out: everything there is to say, and as little as there can be.</summary>
internal static class SampleModels
{
    /// <summary>The instant at which samples are written.</summary>
    public static readonly Instant Now = Instant.FromUtc(2026, 3, 2, 15, 0);

    private static readonly LocalDate Today = SampleCourse.Today;

    /// <summary>What the template of a name calls its model, and the models; null: there is no such template.</summary>
    /// <param name="template">Such as <c>patient-notice.es.html</c>.</param>
    public static (string Variable, IReadOnlyList<object> Models)? Find(string template) => template.Split('.')[..^1] switch
    {
        ["morning-list"] => ("list", [List(new SampleCourse(Language.English, IsPlain: false)), EmptyList]),
        ["step-up-alert"] => ("alert", [Alert(isPlain: false), Alert(isPlain: true)]),
        ["patient-notice", var language] => ("notice", Notices(Of(language))),
        ["sheet", var language] => ("sheet", [Sheet(new SampleCourse(Of(language), IsPlain: false)), Sheet(new SampleCourse(Of(language), IsPlain: true))]),
        ["sheet-day", var language] => ("entry", [Entry(new SampleCourse(Of(language), IsPlain: false)), Entry(new SampleCourse(Of(language), IsPlain: true))]),
        ["service-alert"] => ("alert", [ServiceAlert]),
        ["service-report"] => ("report", [Report(["No mail is sent: the mail server refuses the password."]), Report([])]),
        _ => null,
    };

    /// <summary>What a person must mend, as mail that is paused says it.</summary>
    public static ServiceAlert ServiceAlert => new("No mail is sent: the mail server refuses the password.", "2026-03-02T14:00:00Z", "Put the new password into the password file.");

    /// <summary>A notice to an invented patient with everything that one mail may say.</summary>
    public static PatientNotice Notice(SampleCourse of) => PatientNotice.Of(of.Patient, of.Site)
        .WithRefill(Today.PlusDays(4), Handover.Pickup, Today)
        .WithSharps(Today.PlusDays(14), of.Site, Today)
        .WithDiscard(Today.PlusDays(6), Today.PlusDays(7), Today);

    /// <summary>The sharps notice alone.</summary>
    public static PatientNotice SharpsNotice(SampleCourse of) => PatientNotice.Of(of.Patient, of.Site).WithSharps(Today.PlusDays(14), of.Site, Today);

    /// <summary>The discard line alone.</summary>
    public static PatientNotice DiscardLine(SampleCourse of) => PatientNotice.Of(of.Patient, of.Site).WithDiscard(Today.PlusDays(6), Today.PlusDays(7), Today);

    /// <summary>The list of an invented pharmacy.</summary>
    public static MorningList List(SampleCourse of) => MorningList.Of(
        of.Site,
        Today,
        [Task(of, TaskKind.RefillContact, -2), Task(of, TaskKind.Prepare, 0)],
        [new ListedMessage(new MessageKey("patient-notice/PT-SAMPLE/2026-03-01"), MessageState.Bounced, "550 no such mailbox", Listed(of))]);

    /// <summary>The alert before the invented dose increase.</summary>
    public static StepUpAlert Alert(bool isPlain)
    {
        var of = new SampleCourse(Language.English, isPlain);
        var plan = of.Plan;
        return StepUpAlert.Of(of.Snapshot, plan, plan.StepUp!, Policy.Default, []);
    }

    /// <summary>The printed page of an invented course.</summary>
    public static PatientSheet Sheet(SampleCourse of) => PatientSheet.Of(of.Snapshot, of.Plan, Policy.Default);

    private static SheetEntry Entry(SampleCourse of)
    {
        var sheet = Sheet(of);
        return new SheetEntry(sheet, sheet.DosingDays[0]);
    }

    private static Language Of(string language) => language == "es" ? Language.Spanish : Language.English;

    private static MorningList EmptyList => MorningList.Of(new SampleCourse(Language.English, IsPlain: true).Site, Today, [], []);

    private static PatientNotice[] Notices(Language language)
    {
        var (full, plain) = (new SampleCourse(language, IsPlain: false), new SampleCourse(language, IsPlain: true));
        return [Notice(full), Notice(plain), SharpsNotice(plain), PatientNotice.Of(plain.Patient, plain.Site).WithSharps(Today.PlusDays(14), plain.Site, Today, isOld: true), DiscardLine(plain), PatientNotice.Of(plain.Patient, plain.Site).WithRefill(Today.PlusDays(4), Handover.Ship, Today)];
    }

    private static ServiceReport Report(IReadOnlyList<string> pauses) => new() { Day = DateText.Day(Today, Today), Accepted = 12, NotAccepted = 1, Waiting = 3, Pauses = pauses, AuditHead = "0f3c" };

    private static ListedPatient Listed(SampleCourse of) => new(of.Patient.Id, of.Patient.Name, HasNamesake: false, of.Patient.BornOn, of.Site.Phone);

    private static ListedTask Task(SampleCourse of, TaskKind kind, int days) => new()
    {
        Key = new TaskKey($"{Kebab.Of(kind)}/C-SAMPLE/sample"),
        Kind = kind,
        State = TaskState.Due,
        PlannedOn = Today.PlusDays(days),
        DueOn = Today.PlusDays(int.Max(days, 0)),
        Reason = $"An invented row: the supply lasts until {DateText.Day(Today.PlusDays(9), Today)}.",
        Patient = Listed(of),
        CourseId = "C-SAMPLE",
        Course = CourseLine.Of(of.Snapshot, of.Plan, []) with { Findings = "An invented finding." },
    };
}
