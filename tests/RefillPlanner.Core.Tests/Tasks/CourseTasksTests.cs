using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Tasks;

/// <summary>Which tasks a course calls for, against published rules; weekly from Monday, January 5, 2026, 0.25 mg from a vial of 10 mL, 1 mg/mL, shipped.</summary>
public sealed class CourseTasksTests
{
    private static readonly LocalDate Start = new(2026, 1, 5);

    // Source (R): CMS DMEPOS refill requirements; DME MAC notice, January 2024: an affirmative answer is recorded, nothing ships by itself.
    [Fact]
    public void Nothing_is_shipped_before_the_answer_is_on_record()
    {
        var today = new LocalDate(2026, 1, 6);
        Assert.DoesNotContain(List(today), task => task.Kind == TaskKind.Ship);
        Assert.DoesNotContain(List(today, Answer("later")), task => task.Kind == TaskKind.Ship);
        Assert.DoesNotContain(List(today, Answer("no")), task => task.Kind is TaskKind.Ship or TaskKind.Prepare);
        Assert.Single(List(today, Answer("yes")), task => task.Kind == TaskKind.Ship);
    }

    // Source (2): label texts, weekly semaglutide: two or more missed in a row - resume, or begin lower - is a pharmacist's question.
    [Fact]
    public void Two_dosing_days_in_a_row_missed_are_a_pharmacists_check_and_one_is_not()
    {
        var today = new LocalDate(2026, 1, 20);
        Assert.DoesNotContain(List(today, Missed("2026-01-12")), task => task.Kind == TaskKind.MissedDoseCheck);
        Assert.DoesNotContain(List(today, Missed("2026-01-05"), Missed("2026-01-19")), task => task.Kind == TaskKind.MissedDoseCheck);
        var check = Assert.Single(List(today, Missed("2026-01-12"), Missed("2026-01-19")), task => task.Kind == TaskKind.MissedDoseCheck);
        Assert.Contains("2 dosing days in a row not given, from Monday, January 12, 2026 to Monday, January 19, 2026", check.Reason, System.StringComparison.Ordinal);
        Assert.DoesNotContain("mg", check.Reason, System.StringComparison.Ordinal); // no dose is suggested
    }

    [Fact]
    public void A_pause_of_two_dosing_days_is_a_pharmacists_check_once_it_has_begun()
    {
        var pause = new Fact { Id = "P", CourseId = "C", Kind = FactKind.Paused, On = new LocalDate(2026, 1, 12), Until = new LocalDate(2026, 1, 26) };
        Assert.DoesNotContain(List(new LocalDate(2026, 1, 8), pause), task => task.Kind == TaskKind.MissedDoseCheck);
        Assert.Single(List(new LocalDate(2026, 1, 13), pause), task => task.Kind == TaskKind.MissedDoseCheck);
    }

    // A count overrules the arithmetic: what was counted away is missing on the dosing days after it.
    [Fact]
    public void Dosing_days_without_stock_after_a_count_are_a_pharmacists_check()
    {
        var count = new Fact { Id = "N", CourseId = "C", Kind = FactKind.Counted, On = new LocalDate(2026, 1, 8), ProductId = "V", Containers = 0 };
        Assert.Single(List(new LocalDate(2026, 1, 20), count), task => task.Kind == TaskKind.MissedDoseCheck);
    }

    // Planning model, section 2: a prepared fill not handed over in five open days. Four doses in a vial of 1 mL: out on Monday, February 2, hand-over on
    // Friday, January 30. Made up on Tuesday, January 20: the fifth open day after is Tuesday 27.
    [Fact]
    public void Nobody_has_fetched_it_is_said_from_the_sixth_open_day_after_it_was_made_up()
    {
        var made = Made("2026-01-20");
        Assert.DoesNotContain(WaitsSince, HandOver("2026-01-27", made).Reason, System.StringComparison.Ordinal);
        var call = HandOver("2026-01-28", made);
        Assert.EndsWith("MADE waits since Tuesday, January 20, 2026 and nobody has fetched it: call.", call.Reason, System.StringComparison.Ordinal);
        Assert.Equal(new LocalDate(2026, 1, 28), call.PlannedOn); // not on Friday only, when it would be handed over
    }

    [Fact]
    public void It_comes_neither_earlier_nor_later_when_the_day_of_the_hand_over_moves()
    {
        // Nothing is left on Thursday, January 22: the hand-over moves from January 30 to January 23. Made up that Thursday: the fifth open day is January 29.
        var empty = new Fact { Id = "N", CourseId = "C", Kind = FactKind.Counted, On = new LocalDate(2026, 1, 22), ProductId = "V", Containers = 0 };
        Assert.Equal(new LocalDate(2026, 1, 23), HandOver("2026-01-22", empty).PlannedOn);
        Assert.DoesNotContain(WaitsSince, HandOver("2026-01-29", empty, Made("2026-01-22")).Reason, System.StringComparison.Ordinal);
        Assert.Contains(WaitsSince, HandOver("2026-01-30", empty, Made("2026-01-22")).Reason, System.StringComparison.Ordinal);

        // Two doses missed: the hand-over moves to February 13, and the call stays where it was.
        Fact[] missed = [Missed("2026-01-12"), Missed("2026-01-26")];
        Assert.Equal(new LocalDate(2026, 2, 13), HandOver("2026-01-27", [Made("2026-01-20"), .. missed]).PlannedOn);
        Assert.Equal(new LocalDate(2026, 1, 28), HandOver("2026-01-28", [Made("2026-01-20"), .. missed]).PlannedOn);
    }

    [Fact]
    public void What_was_made_up_and_is_not_wanted_any_more_is_called_about_as_well()
    {
        Assert.DoesNotContain(Waiting("2026-01-27", Handover.Pickup, Made("2026-01-20"), Answer("no")), task => task.Kind == TaskKind.HandOver);
        Assert.Contains("take it back (void)", Assert.Single(Waiting("2026-01-28", Handover.Pickup, Made("2026-01-20"), Answer("no"))).Reason, System.StringComparison.Ordinal);

        // A parcel that waits for the patient's yes: it is said where the patient is asked.
        Assert.Contains("MADE waits since Tuesday, January 20, 2026 and has not been sent: call.", Assert.Single(Waiting("2026-01-28", Handover.Ship, Made("2026-01-20")), task => task.Kind == TaskKind.RefillContact).Reason, System.StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(null, null, null, "no e-mail address on record")]
    [InlineData("p@example.org", null, null, "no agreement to e-mail on record")]
    [InlineData("p@example.org", "2026-01-02", "2026-01-03", "opted out of e-mail")]
    [InlineData("p@example.org", "2026-01-03", "2026-01-03", "opted out of e-mail")] // the same day: the opt-out wins
    public void Whoever_may_not_be_written_to_is_called_when_it_is_time_to_ask(string? email, string? agreedOn, string? optedOutOn, string why)
    {
        var patient = new Patient { Id = "P", Name = "P", SiteId = "S", Email = email, EmailAgreedOn = Date(agreedOn), EmailOptedOutOn = Date(optedOutOn) };
        var (contact, call) = (Asked(patient, TaskKind.RefillContact).Single(), Asked(patient, TaskKind.CannotReach).Single());
        Assert.Equal((contact.PlannedOn, "cannot-reach/C/after F", $"Call: {why}. {contact.Reason}"), (call.PlannedOn, call.Key.Text, call.Reason));
        Assert.Empty(Asked(patient, TaskKind.CannotReach, Answer("yes")));
        Assert.Single(Asked(patient, TaskKind.CannotReach, Answer("later"))); // asked again
    }

    [Fact]
    public void Whoever_may_be_written_to_is_not_called() =>
        Assert.Empty(Asked(new Patient { Id = "P", Name = "P", SiteId = "S", Email = "p@example.org", EmailAgreedOn = Start }, TaskKind.CannotReach));

    [Fact]
    public void A_call_is_met_by_the_answer_and_by_the_next_fill()
    {
        var call = new TaskOnRecord { Task = Asked(new Patient { Id = "P", Name = "P", SiteId = "S" }, TaskKind.CannotReach).Single(), State = TaskState.Due, ChangedAt = Instant.FromUtc(2026, 1, 6, 13, 0), ChangedBy = TaskLife.Planner, Version = 2 };
        var today = new LocalDate(2026, 1, 20);
        Assert.False(CourseTasks.IsMet(call, Course(Small, []), today));
        Assert.True(CourseTasks.IsMet(call, Course(Small, [Answer("yes")]), today));
        Assert.True(CourseTasks.IsMet(call, Course(Small, [new Fact { Id = "G", CourseId = "C", Kind = FactKind.Dispensed, On = today, ProductId = "V", Containers = 1 }]), today));
    }

    private static readonly (Patient Patient, int Volume) Small = (new Patient { Id = "P", Name = "P", SiteId = "S" }, 1);

    private static PlannedTask[] Asked(Patient patient, TaskKind kind, params Fact[] facts) => [.. List(new LocalDate(2026, 1, 20), patient, volume: 1, facts).Where(task => task.Kind == kind)];

    private static LocalDate? Date(string? iso) => iso is null ? null : NodaTime.Text.LocalDatePattern.Iso.Parse(iso).Value;

    private const string WaitsSince = "waits since";

    private static Fact Made(string on) => new() { Id = "MADE", CourseId = "C", Kind = FactKind.Prepared, On = NodaTime.Text.LocalDatePattern.Iso.Parse(on).Value, ProductId = "V", Containers = 1 };

    private static PlannedTask HandOver(string today, params Fact[] facts) => Waiting(today, Handover.Pickup, facts).Single(task => task.Kind == TaskKind.HandOver);

    private static IReadOnlyList<PlannedTask> Waiting(string today, Handover handover, params Fact[] facts) => List(NodaTime.Text.LocalDatePattern.Iso.Parse(today).Value, handover, volume: 1, facts);

    private static Fact Answer(string note) => new() { Id = "A", CourseId = "C", Kind = FactKind.Answered, On = Start.PlusDays(1), Note = note };

    private static Fact Missed(string on) => new() { Id = $"M {on}", CourseId = "C", Kind = FactKind.Missed, On = NodaTime.Text.LocalDatePattern.Iso.Parse(on).Value };

    private static IReadOnlyList<PlannedTask> List(LocalDate today, params Fact[] facts) => List(today, Handover.Ship, volume: 10, facts);

    private static IReadOnlyList<PlannedTask> List(LocalDate today, Handover handover, int volume, Fact[] facts) =>
        List(today, new Patient { Id = "P", Name = "P", SiteId = "S", Handover = handover }, volume, facts);

    private static IReadOnlyList<PlannedTask> List(LocalDate today, Patient patient, int volume, Fact[] facts)
    {
        var course = Course((patient, volume), facts);
        var plan = PlanningPipeline.Plan([course], [], Policy.Default, today).Courses.Single();
        return CourseTasks.List(course, plan, new WorkHours(course.Site, patient, Policy.Default, today));
    }

    private static CourseSnapshot Course((Patient Patient, int Volume) of, Fact[] facts) => new()
    {
        Course = new Course { Id = "C", PatientId = "P", StartedOn = Start, DeviceId = "D" },
        Patient = of.Patient,
        Site = new Site { Id = "S", Name = "S", TimeZone = "America/New_York", ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday] },
        Steps = [new Step { CourseId = "C", Number = 1, ProductId = "V", Doses = [Amount.From(0.25m)], EveryDays = 7 }],
        Products = new Dictionary<string, Product> { ["V"] = new() { Id = "V", Drug = "semaglutide", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Mg, Strength = new(Amount.From(1), Volume.FromMl(1)), Volume = Volume.FromMl(of.Volume) } },
        Devices = new Dictionary<string, Device> { ["D"] = new() { Id = "D", Name = "1 mL", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Ml } },
        Prescriptions = [new Prescription { Id = "R", CourseId = "C", IssuedOn = Start, RefillsAuthorized = 5 }],
        Facts = [new Fact { Id = "F", CourseId = "C", Kind = FactKind.Dispensed, On = Start, ProductId = "V", Containers = 1 }, .. facts],
    };
}
