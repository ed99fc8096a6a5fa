using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Messages;

/// <summary>Where a task stands on the refill-due list of Wednesday, March 4, 2026, and what its row says.</summary>
public sealed class MorningListTests
{
    private static readonly LocalDate Today = new(2026, 3, 4);
    private static readonly Site Site = new() { Id = "S", Name = "Lantern Hollow", TimeZone = "America/New_York" };

    [Theory]
    [InlineData(TaskKind.SupplyReview, TaskState.Overdue, "2026-03-02", "2026-03-02", "Not computed", 2)]
    [InlineData(TaskKind.Prepare, TaskState.Planned, "2026-03-04", "2026-03-04", "Due today", 0)]
    [InlineData(TaskKind.Prepare, TaskState.Planned, "2026-03-11", "2026-03-11", "Next 7 days", 0)]
    [InlineData(TaskKind.Prepare, TaskState.Due, "2026-03-03", "2026-03-03", "Late", 1)]
    [InlineData(TaskKind.Prepare, TaskState.Overdue, "2026-03-04", "2026-03-04", "Late", 0)]
    [InlineData(TaskKind.RefillContact, TaskState.Waiting, "2026-03-02", "2026-03-02", "Waiting for an answer", 2)]
    [InlineData(TaskKind.RefillContact, TaskState.Waiting, "2026-04-02", "2026-04-02", "Waiting for an answer", 0)]
    public void Each_task_stands_in_one_section(TaskKind kind, TaskState state, string plannedOn, string dueOn, string section, int lateDays)
    {
        var list = MorningList.Of(Site, Today, [Task(plannedOn, dueOn) with { Kind = kind, State = state }], []);
        Assert.Equal(section, Assert.Single(list.Sections, section => section.Rows.Count > 0).Title);
        Assert.Equal(lateDays, list.Sections.SelectMany(section => section.Rows).Single().LateDays);
    }

    [Theory]
    [InlineData("2026-02-27", "2026-03-04", 5)] // the date of the rules had passed when it was planned
    [InlineData("2026-03-09", "2026-03-02", 2)] // the date of the rules moved on after the alarm had gone
    [InlineData("2026-03-05", "2026-03-05", 0)]
    public void A_task_is_late_from_the_earlier_of_its_two_dates(string plannedOn, string dueOn, int lateDays) =>
        Assert.Equal(lateDays, Task(plannedOn, dueOn).LateDays(Today));

    [Fact]
    public void A_call_to_somebody_who_could_not_be_reached_stands_for_the_question_that_it_asks()
    {
        ListedTask Of(TaskKind kind, string dueOn) => Task(dueOn, dueOn) with { Kind = kind, Key = TaskKey.Of(kind, "C", "after F") };
        MorningList List(string dueOn) => MorningList.Of(Site, Today, [Of(TaskKind.RefillContact, dueOn), Of(TaskKind.CannotReach, dueOn), Of(TaskKind.Prepare, dueOn)], []);
        foreach (var (dueOn, section) in new[] { ("2026-03-02", "Could not be reached"), ("2026-03-04", "Could not be reached"), ("2026-03-06", "Next 7 days") })
        {
            var rows = List(dueOn).Sections.SelectMany(section => section.Rows.Select(row => (section.Title, row.What))).ToArray();
            Assert.Contains((section, "Could not be reached: call"), rows);
            Assert.DoesNotContain(rows, row => row.What == "Ask about the next supply");
            Assert.Equal(2, rows.Length);
        }
    }

    [Fact]
    public void A_row_has_two_identifiers_and_warns_of_a_namesake()
    {
        var row = Row(Task("2026-03-04", "2026-03-04") with { Patient = new ListedPatient("P", "Marl Quillfeather", HasNamesake: true, new LocalDate(1980, 2, 29), "555-0102") });
        Assert.Equal(("Marl Quillfeather (same name as another patient)", "P, born February 29, 1980", "555-0102"), (row.Patient, row.Identifiers, row.Phone));
        Assert.Equal("Wednesday, March 4", row.Due);
    }

    [Fact]
    public void What_is_not_on_record_is_said()
    {
        var row = Row(Task("2026-03-04", "2026-03-04"));
        Assert.Equal(("Marl Quillfeather", "P, date of birth not on record", "no telephone on record"), (row.Patient, row.Identifiers, row.Phone));
    }

    [Fact]
    public void A_finding_that_the_reason_gives_already_is_not_said_twice()
    {
        var row = Row(Task("2026-03-04", "2026-03-04") with { Reason = "Nothing is computed: The dose is too small.", Course = new CourseLine("semaglutide, 0.5 mg every 7 days", "The dose is too small.\nPlease count.") });
        Assert.Equal(["Please count."], row.Findings);
        Assert.Equal("semaglutide, 0.5 mg every 7 days", row.Medicine);
    }

    [Fact]
    public void A_sharps_container_has_no_medicine_and_a_course_never_planned_has_none_yet()
    {
        var row = Row(Task("2026-03-04", "2026-03-04") with { CourseId = null });
        Assert.Equal((string.Empty, string.Empty, 0), (row.Course, row.Medicine, row.Findings.Count));
    }

    [Fact]
    public void A_message_that_did_not_arrive_is_a_call()
    {
        var message = new ListedMessage(new MessageKey("patient-notice/P/2026-03-02"), MessageState.Bounced, "550 no such user", Task("2026-03-04", "2026-03-04").Patient);
        var section = MorningList.Of(Site, Today, [], [message]).Sections[^1];
        Assert.Equal("Could not be reached", section.Title);
        Assert.Equal(("Could not be reached: call", "bounced: 550 no such user"), (section.Rows.Single().What, section.Rows.Single().Why));
    }

    [Fact]
    public void What_cannot_be_shown_stands_among_what_is_not_computed_with_no_number_of_it()
    {
        var damage = new ListedDamage("prepare/C/after F-1", "The record is damaged on disk.", "P", "C", Task("2026-03-04", "2026-03-04").Patient);
        var section = MorningList.Of(Site, Today, [Task("2026-03-04", "2026-03-04")], [], damage, new ListedDamage("S 2026-03-04", "why", string.Empty, string.Empty, Patient: null)).Sections[0];
        Assert.Equal("Not computed", section.Title);
        Assert.Equal([("Marl Quillfeather", "P, date of birth not on record", "C", string.Empty, 0, "The record is damaged on disk."), ("no patient known", "S 2026-03-04", string.Empty, string.Empty, 0, "why")],
            section.Rows.Select(row => (row.Patient, row.Identifiers, row.Course, row.Medicine, row.LateDays, row.Why)));
    }

    private static MorningRow Row(ListedTask task) => MorningList.Of(Site, Today, [task], []).Sections.SelectMany(section => section.Rows).Single();

    private static ListedTask Task(string plannedOn, string dueOn) => new()
    {
        Key = new TaskKey("prepare/C/after F-1"),
        Kind = TaskKind.Prepare,
        State = TaskState.Planned,
        PlannedOn = Date(plannedOn),
        DueOn = Date(dueOn),
        Reason = "why",
        CourseId = "C",
        Patient = new ListedPatient("P", "Marl Quillfeather", HasNamesake: false, BornOn: null, Phone: null),
    };

    private static LocalDate Date(string iso) => NodaTime.Text.LocalDatePattern.Iso.Parse(iso).Value;
}
