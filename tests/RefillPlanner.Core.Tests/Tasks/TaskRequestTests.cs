using System;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Tasks;

/// <summary>What a person may do with a task on Monday, March 2, 2026, 10:00 in New York; Saturdays and Sundays are closed.</summary>
public sealed class TaskRequestTests
{
    private const string By = "Ann Awl, RPh";
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly Instant Now = Instant.FromUtc(2026, 3, 2, 15, 0);
    private static readonly Site Site = new() { Id = "S", Name = "S", TimeZone = "America/New_York", ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday] };
    private static readonly WorkHours Hours = new(Site, new Patient { Id = "P", Name = "P", SiteId = "S" }, Policy.Default, Today);

    [Theory]
    [InlineData(TaskKind.RefillContact, "answered --note yes")]
    [InlineData(TaskKind.Prepare, "record C prepared")]
    [InlineData(TaskKind.HandOver, "record C dispensed")]
    [InlineData(TaskKind.Ship, "record C dispensed")]
    [InlineData(TaskKind.RenewalRequest, "prescriptions.csv")]
    [InlineData(TaskKind.StepUpCheck, "sign C approve")]
    [InlineData(TaskKind.ArrivalCheck, "received --note \"F-1\"")]
    public void A_tick_does_not_stand_in_for_a_fact_that_the_plan_needs(TaskKind kind, string record)
    {
        foreach (var request in new[] { Request(TaskRequestKind.Done), Request(TaskRequestKind.Withdraw, "not needed") })
            Assert.NotNull(request.Judge(Task(kind), Hours, Now).Refusal);
        Assert.Contains(record, Request(TaskRequestKind.Done).Judge(Task(kind), Hours, Now).Refusal, StringComparison.Ordinal);
        Assert.Equal([TaskState.Waiting], Request(TaskRequestKind.Waiting).Judge(Task(kind), Hours, Now).Moves); // asked, and no answer yet
    }

    [Theory]
    [InlineData(TaskKind.MissedDoseCheck)]
    [InlineData(TaskKind.DiscardNotice)]
    [InlineData(TaskKind.SharpsReturn)]
    [InlineData(TaskKind.SharpsOverdue)]
    [InlineData(TaskKind.CannotReach)]
    [InlineData(TaskKind.RecallCall)]
    public void Where_a_persons_word_is_enough_a_tick_ends_the_task(TaskKind kind)
    {
        foreach (var state in new[] { TaskState.Due, TaskState.Waiting, TaskState.Overdue })
            Assert.Equal([TaskState.Done], Request(TaskRequestKind.Done).Judge(Task(kind, state), Hours, Now).Moves);
        Assert.Equal([TaskState.Due, TaskState.Done], Request(TaskRequestKind.Done).Judge(Task(kind, TaskState.Planned), Hours, Now).Moves); // before its day
    }

    [Fact]
    public void The_next_sharps_container_is_recorded_and_not_ticked_off()
    {
        var task = Task(TaskKind.SharpsReturn);
        task = task with { Task = task.Task with { Key = TaskKey.Of(TaskKind.SharpsReturn, "SH-1", "replacement, staff"), CourseId = null, SharpsId = "SH-1" } };
        Assert.Contains("sharps.csv", Request(TaskRequestKind.Done).Judge(task, Hours, Now).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void A_course_that_is_not_computed_is_closed_only_with_who_looks_after_it()
    {
        Assert.Contains("--because", Request(TaskRequestKind.Done).Judge(Task(TaskKind.SupplyReview), Hours, Now).Refusal, StringComparison.Ordinal);
        Assert.Null(Request(TaskRequestKind.Done, "Awl counts by hand each Monday").Judge(Task(TaskKind.SupplyReview), Hours, Now).Refusal);
    }

    [Fact]
    public void A_task_is_put_off_only_with_a_reason_and_to_an_open_day_after_today()
    {
        TaskAnswer PutOff(string? because, string? to, TaskState state = TaskState.Due) =>
            new TaskRequest(TaskRequestKind.Postpone, By, because, to is null ? null : NodaTime.Text.LocalDatePattern.Iso.Parse(to).Value).Judge(Task(TaskKind.RecallCall, state), Hours, Now);
        Assert.Contains("only with a reason", PutOff(null, "2026-03-05").Refusal, StringComparison.Ordinal);
        Assert.Contains("--to", PutOff("away", null).Refusal, StringComparison.Ordinal);
        Assert.Contains("not after today", PutOff("away", "2026-03-02").Refusal, StringComparison.Ordinal);
        Assert.Equal(new LocalDate(2026, 3, 5), PutOff("away", "2026-03-05").DueOn);
        Assert.Equal(new LocalDate(2026, 3, 6), PutOff("away", "2026-03-08").DueOn); // a Sunday: work moves earlier, to Friday

        // What waits or is overdue is due again on the new day, by the moves of the table: from overdue only over waiting.
        Assert.Equal([TaskState.Due], PutOff("away", "2026-03-05", TaskState.Waiting).Moves);
        Assert.Equal([TaskState.Waiting, TaskState.Due], PutOff("away", "2026-03-05", TaskState.Overdue).Moves);
        Assert.NotNull(PutOff("away", "2026-03-05", TaskState.Done).Refusal);
        Assert.NotNull(PutOff("away", "2026-03-05", TaskState.Withdrawn).Refusal);
    }

    [Fact]
    public void A_tick_is_taken_back_within_ten_minutes_and_not_after()
    {
        var ticked = Task(TaskKind.RecallCall, TaskState.Done) with { ChangedBy = By };
        Assert.Equal([TaskState.Due], Request(TaskRequestKind.Undo).Judge(ticked with { ChangedAt = Now - Duration.FromMinutes(10) }, Hours, Now).Moves);
        Assert.Contains("more than 10 minutes ago", Request(TaskRequestKind.Undo).Judge(ticked with { ChangedAt = Now - Duration.FromMinutes(10) - Duration.FromSeconds(1) }, Hours, Now).Refusal, StringComparison.Ordinal);

        // What a fact has met is taken back by a void of the fact.
        Assert.Contains("void", Request(TaskRequestKind.Undo).Judge(ticked with { ChangedBy = TaskLife.Planner }, Hours, Now).Refusal, StringComparison.Ordinal);
        Assert.NotNull(Request(TaskRequestKind.Undo).Judge(Task(TaskKind.RecallCall), Hours, Now).Refusal);
    }

    [Fact]
    public void What_the_table_does_not_allow_is_refused_with_the_state_and_the_moves_from_it()
    {
        var done = Task(TaskKind.RecallCall, TaskState.Done) with { ChangedBy = By };
        Assert.Contains("is done, by Ann Awl, RPh. From there it may go to: due (--undo, within 10 minutes).", Request(TaskRequestKind.Done).Judge(done, Hours, Now).Refusal, StringComparison.Ordinal);
        Assert.Contains("is withdrawn, by planner. From there it may go to: nothing, it is closed.", Request(TaskRequestKind.Waiting).Judge(Task(TaskKind.RecallCall, TaskState.Withdrawn), Hours, Now).Refusal, StringComparison.Ordinal);
        Assert.Contains("is waiting, by planner. From there it may go to: due, overdue, done, withdrawn.", Request(TaskRequestKind.Waiting).Judge(Task(TaskKind.RecallCall, TaskState.Waiting), Hours, Now).Refusal, StringComparison.Ordinal);
        foreach (var (state, kind) in from state in Enum.GetValues<TaskState>() from kind in Enum.GetValues<TaskRequestKind>() select (state, kind))
        {
            var answer = new TaskRequest(kind, By, "why", Today.PlusDays(3)).Judge(Task(TaskKind.RecallCall, state) with { ChangedBy = By }, Hours, Now);
            Assert.All(answer.Moves.Prepend(state).Zip(answer.Moves), move => Assert.True(TaskLife.Allows(move.First, move.Second), $"{kind}: {move}"));
        }
    }

    [Fact]
    public void A_task_withdrawn_by_hand_needs_a_reason()
    {
        Assert.Contains("--because", Request(TaskRequestKind.Withdraw).Judge(Task(TaskKind.DiscardNotice), Hours, Now).Refusal, StringComparison.Ordinal);
        Assert.Equal([TaskState.Withdrawn], Request(TaskRequestKind.Withdraw, "the vial broke, see F-9").Judge(Task(TaskKind.DiscardNotice), Hours, Now).Moves);
    }

    [Fact]
    public void A_task_has_a_short_name_made_of_its_course_and_four_letters()
    {
        var (one, other) = (TaskKey.Of(TaskKind.Prepare, "C-104", "after F-12"), TaskKey.Of(TaskKind.Prepare, "C-104", "after F-13"));
        Assert.Matches("^C-104:[0-9A-HJKMNP-TV-Z]{4}$", one.Reference);
        Assert.NotEqual(one.Reference, other.Reference);
        Assert.True(one.IsNamed(one.Reference.ToLowerInvariant()) && one.IsNamed("prepare/C-104/after F-12") && !one.IsNamed(other.Reference));
        Assert.Equal(("C-104", "after F-12"), (TaskKey.SubjectOf(one.Reference), one.Cycle));
        Assert.Null(TaskKey.SubjectOf("C-104"));
        Assert.Equal("A:B", TaskKey.SubjectOf(TaskKey.Of(TaskKind.Prepare, "A:B", "x").Reference)); // ids may have a colon in them

        // All tasks of one course for ten years of weekly cycles.
        var names = Enumerable.Range(1, 520).Select(cycle => TaskKey.Of(TaskKind.RefillContact, "C-104", $"after F-{cycle}").Reference).ToArray();
        Assert.True(names.Distinct().Count() >= 519);
    }

    private static TaskRequest Request(TaskRequestKind kind, string? because = null) => new(kind, By, because, To: null);

    private static TaskOnRecord Task(TaskKind kind, TaskState state = TaskState.Due) => new()
    {
        Task = new PlannedTask { Key = TaskKey.Of(kind, "C", "F-1"), Kind = kind, SiteId = "S", PatientId = "P", CourseId = "C", PlannedOn = Today, DueOn = Today, DueAt = Now, Reason = "why" },
        State = state,
        ChangedAt = Now,
        ChangedBy = TaskLife.Planner,
        Version = 2,
    };
}
