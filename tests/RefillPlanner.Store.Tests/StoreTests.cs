using System;
using System.Linq;
using Dapper;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Store.Tests;

public sealed class StoreTests
{
    [Fact]
    public void What_is_put_is_read_back_exactly()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Ledger.Add(Shelf.Fill, Shelf.Now, "test"));
        var snapshot = shelf.Read(transaction => transaction.Snapshots.Find("P"))!.Courses.Single();
        Assert.Equal(Shelf.Course, snapshot.Course);
        Assert.Equal(Shelf.Patient, snapshot.Patient);
        Assert.Equal(Shelf.Vial, snapshot.Products["V"]);
        Assert.Equal(Shelf.Syringe, snapshot.Devices["D"]);
        Assert.Equal(Shelf.Fill, snapshot.Facts.Single());
        Assert.Equal(Shelf.Step.Doses, snapshot.Steps.Single().Doses);
        Assert.Equal(Shelf.Site.ClosedWeekdays, snapshot.Site.ClosedWeekdays);
        Assert.Equal(Shelf.Site.ClosedOn, snapshot.Site.ClosedOn);
    }

    [Fact]
    public void What_was_not_committed_did_not_happen()
    {
        using var shelf = new Shelf();
        using (var transaction = shelf.Database.Begin())
            transaction.Ledger.Add(Shelf.Fill, Shelf.Now, "test");
        Assert.Empty(shelf.Read(transaction => transaction.Ledger.ListFacts()));
    }

    [Theory]
    [InlineData("UPDATE facts SET containers = 9;", "never edited")]
    [InlineData("DELETE FROM facts;", "never deleted")]
    [InlineData("INSERT OR REPLACE INTO facts (fact_id, course_id, kind, on_date, recorded_at, recorded_by) VALUES ('F-1', 'C', 'missed', '2026-03-02', '', '');", "never replaced")]
    public void A_fact_is_never_edited(string sql, string reason)
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Ledger.Add(Shelf.Fill, Shelf.Now, "test"));
        Assert.Contains(reason, Assert.Throws<SqliteException>(() => Run(shelf, sql)).Message, StringComparison.Ordinal);
        Assert.Equal(Shelf.Fill, shelf.Read(transaction => transaction.Ledger.ListFacts()).Single());
    }

    [Theory]
    [InlineData("UPDATE products SET volume = -1;")]
    [InlineData("UPDATE products SET kind = 'bottle';")]
    [InlineData("UPDATE products SET volume = 'much';")]
    [InlineData("UPDATE devices SET graduation = 300;")]
    [InlineData("UPDATE devices SET units_per_ml = NULL;")]
    [InlineData("UPDATE courses SET started_on = '3/2/2026';")]
    [InlineData("UPDATE courses SET patient_id = 'nobody';")]
    [InlineData("UPDATE steps SET every_days = 0;")]
    [InlineData("UPDATE patients SET status = 'asleep';")]
    [InlineData("UPDATE patients SET name = '';")]
    public void Nonsense_is_refused_by_the_schema(string sql)
    {
        using var shelf = new Shelf();
        Assert.Throws<SqliteException>(() => Run(shelf, sql));
    }

    [Fact]
    public void An_opt_out_is_not_moved_back_by_putting_the_patient_again()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Ledger.Put(Shelf.Patient with { EmailOptedOutOn = new LocalDate(2026, 2, 1) }));
        shelf.Write(transaction => transaction.Ledger.Put(Shelf.Patient));
        Assert.False(shelf.Read(transaction => transaction.Ledger.ListPatients()).Single().MayBeMailed);
        shelf.Write(transaction => transaction.Ledger.Put(Shelf.Patient with { EmailAgreedOn = new LocalDate(2026, 3, 1) }));
        Assert.True(shelf.Read(transaction => transaction.Ledger.ListPatients()).Single().MayBeMailed);
    }

    [Fact]
    public void A_database_newer_than_the_program_is_refused_in_one_sentence()
    {
        using var shelf = new Shelf();
        Run(shelf, "INSERT INTO schema_migrations VALUES (9999, '9999_future.sql', '', '');");
        shelf.Database.Dispose();
        Assert.Contains("newer version", Assert.Throws<SchemaException>(() => PlannerDatabase.Open(shelf.File, Shelf.Now)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_migration_that_was_changed_after_it_was_applied_is_refused()
    {
        using var shelf = new Shelf();
        Run(shelf, "UPDATE schema_migrations SET checksum = 'other' WHERE number = 1;");
        shelf.Database.Dispose();
        Assert.Contains("0001_ledger.sql", Assert.Throws<SchemaException>(() => PlannerDatabase.Open(shelf.File, Shelf.Now)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Opening_again_applies_nothing_again()
    {
        using var shelf = new Shelf();
        shelf.Database.Dispose();
        using var again = PlannerDatabase.Open(shelf.File, Shelf.Now);
        using var reading = again.Read();
        Assert.Single(reading.Ledger.ListCourses());
    }

    [Fact]
    public void A_task_that_was_put_off_keeps_its_day_and_the_reason_until_it_is_planned_anew()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Tasks.Apply([new TaskChange(Shelf.Task.Key, Shelf.Task, IsNew: true)], Shelf.Now));
        var (dueOn, dueAt) = (Shelf.Task.DueOn.PlusDays(3), Shelf.Task.DueAt + Duration.FromDays(3));
        shelf.Write(transaction => transaction.Tasks.Postpone(Shelf.Task.Key, dueOn, dueAt, "away", Shelf.Now, "Awl"));
        var put = shelf.Read(transaction => transaction.Tasks.Find(Shelf.Task.Key)!);
        Assert.Equal((dueOn, dueAt, "away", TaskState.Planned, 2), (put.Task.DueOn, put.Task.DueAt, put.PostponedBecause, put.State, put.Version));
        var row = shelf.Read(transaction => transaction.Tasks.ListMoves(Shelf.Task.Key))[^1];
        Assert.Equal(("Awl", NodaTime.Text.LocalDatePattern.Iso.Format(Shelf.Task.DueOn), NodaTime.Text.LocalDatePattern.Iso.Format(dueOn), "away"), (row.By, row.Before, row.After, row.Note));

        // Planning leaves the day alone; what it withdrew itself and plans anew begins anew.
        Assert.Empty(TaskChange.List([Shelf.Task], [put], _ => false));
        shelf.Write(transaction => transaction.Tasks.Apply([new TaskChange(Shelf.Task.Key, Task: null, IsNew: false)], Shelf.Now));
        Assert.Throws<InvalidOperationException>(() => shelf.Write(transaction => transaction.Tasks.Postpone(Shelf.Task.Key, dueOn, dueAt, "away", Shelf.Now, "Awl")));
        shelf.Write(transaction => transaction.Tasks.Apply([new TaskChange(Shelf.Task.Key, Shelf.Task, IsNew: false, IsAgain: true)], Shelf.Now));
        var again = shelf.Read(transaction => transaction.Tasks.Find(Shelf.Task.Key)!);
        Assert.Equal((Shelf.Task.DueOn, null), (again.Task.DueOn, again.PostponedBecause));
    }

    [Fact]
    public void Sites_products_and_devices_are_kept_for_the_next_transaction_once_they_are_durable()
    {
        using var shelf = new Shelf();
        using (var takenBack = shelf.Database.Begin())
        {
            takenBack.Ledger.Put(Shelf.Site with { Id = "S-2" });
            Assert.Equal(2, takenBack.Snapshots.ReadReference().Sites.Count);
        }

        Assert.Null(shelf.Database.Reference);
        Assert.Single(shelf.Read(transaction => transaction.Snapshots.ReadReference()).Sites);
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(Shelf.Site with { Id = "S-2" });
            transaction.Snapshots.ReadReference();
        });
        var kept = shelf.Database.Reference;
        Assert.Equal(2, kept!.Sites.Count);
        Assert.Same(kept, shelf.Read(transaction => transaction.Snapshots.ReadReference()));
    }

    [Fact]
    public void A_task_lives_by_its_table_and_each_move_is_kept()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Tasks.Apply([new TaskChange(Shelf.Task.Key, Shelf.Task, IsNew: true)], Shelf.Now));
        Assert.Equal(Shelf.Task, shelf.Read(transaction => transaction.Tasks.Find(Shelf.Task.Key))!.Task);
        shelf.Write(transaction => transaction.Tasks.Move(Shelf.Task.Key, TaskState.Due, Shelf.Now, "planner", null));
        shelf.Write(transaction => Assert.False(transaction.Tasks.Move(Shelf.Task.Key, TaskState.Done, Shelf.Now, "Awl", null, version: 1), "somebody was first"));
        shelf.Write(transaction => Assert.True(transaction.Tasks.Move(Shelf.Task.Key, TaskState.Done, Shelf.Now, "Awl", null, version: 2)));
        Assert.Equal(["planned", "due", "done"], shelf.Read(transaction => transaction.Tasks.ListMoves(Shelf.Task.Key)).Select(move => move.After));
    }

    [Fact]
    public void A_container_that_becomes_another_patients_may_have_the_same_task_there()
    {
        using var shelf = new Shelf();
        PlannedTask Of(string patientId) => Shelf.Task with { Key = TaskKey.Of(TaskKind.SharpsReturn, "SH", "notice"), Kind = TaskKind.SharpsReturn, PatientId = patientId, CourseId = null, SharpsId = "SH" };
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(Shelf.Patient with { Id = "P-2", Name = "Tansy Umbercroft" });
            transaction.Ledger.Put(new SharpsContainer { Id = "SH", PatientId = "P", Capacity = 100, IssuedOn = new(2026, 3, 1) });
            transaction.Tasks.Apply([new TaskChange(Of("P").Key, Of("P"), IsNew: true)], Shelf.Now);
        });
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(new SharpsContainer { Id = "SH", PatientId = "P-2", Capacity = 100, IssuedOn = new(2026, 3, 1) });
            transaction.Tasks.Apply([new TaskChange(Of("P").Key, Task: null, IsNew: false)], Shelf.Now);
            transaction.Tasks.Apply([new TaskChange(Of("P-2").Key, Of("P-2"), IsNew: true)], Shelf.Now);
        });
        Assert.Equal(("P-2", TaskState.Planned), shelf.Read(transaction => transaction.Tasks.Find(Of("P").Key)) is { } found ? (found.Task.PatientId, found.State) : default);
        Assert.Equal(TaskState.Withdrawn, Assert.Single(shelf.Read(transaction => transaction.Tasks.ListOfPatient("P"))).State);
    }

    [Fact]
    public void A_ticked_off_task_is_taken_back_within_ten_minutes_and_not_after()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Tasks.Apply([new TaskChange(Shelf.Task.Key, Shelf.Task, IsNew: true)], Shelf.Now));
        shelf.Write(transaction => transaction.Tasks.Move(Shelf.Task.Key, TaskState.Done, Shelf.Now, "Awl", null));
        shelf.Write(transaction => Assert.Throws<InvalidOperationException>(() => transaction.Tasks.Move(Shelf.Task.Key, TaskState.Due, Shelf.Now + Duration.FromMinutes(11), "Awl", null)));
        shelf.Write(transaction => Assert.True(transaction.Tasks.Move(Shelf.Task.Key, TaskState.Due, Shelf.Now + Duration.FromMinutes(10), "Awl", null)));
    }

    [Fact]
    public void A_message_of_one_meaning_is_added_once()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => Assert.True(transaction.Outbox.Add(Shelf.Message)));
        shelf.Write(transaction => Assert.False(transaction.Outbox.Add(Shelf.Message)));
        var found = shelf.Read(transaction => transaction.Outbox.Find(Shelf.Message.Key))!;
        Assert.Equal(Shelf.Message with { TaskKeys = [] }, found.Message with { TaskKeys = [] });
        Assert.Equal(Shelf.Message.TaskKeys, found.Message.TaskKeys);
    }

    [Fact]
    public void A_message_without_an_address_is_suppressed_and_shown()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Outbox.Add(Shelf.Message with { To = null }));
        Assert.Equal(MessageState.Suppressed, shelf.Read(transaction => transaction.Outbox.ListNotAccepted("S", Shelf.Now)).Single().State);
        Assert.Empty(shelf.Read(transaction => transaction.Outbox.ListReady(Shelf.Now, 10)));
    }

    [Fact]
    public void Every_pair_of_states_is_allowed_or_refused_by_the_life_table()
    {
        // The moves as they stand in the planning model, section 6.
        (TaskState, TaskState)[] allowed =
        [
            (TaskState.Planned, TaskState.Due), (TaskState.Planned, TaskState.Withdrawn),
            (TaskState.Due, TaskState.Waiting), (TaskState.Due, TaskState.Done), (TaskState.Due, TaskState.Withdrawn), (TaskState.Due, TaskState.Overdue),
            (TaskState.Waiting, TaskState.Due), (TaskState.Waiting, TaskState.Done), (TaskState.Waiting, TaskState.Withdrawn), (TaskState.Waiting, TaskState.Overdue),
            (TaskState.Overdue, TaskState.Waiting), (TaskState.Overdue, TaskState.Done), (TaskState.Overdue, TaskState.Withdrawn),
            (TaskState.Done, TaskState.Due),
        ];
        foreach (var from in Enum.GetValues<TaskState>())
        {
            foreach (var to in Enum.GetValues<TaskState>())
                Assert.Equal(allowed.Contains((from, to)), TaskLife.Allows(from, to));
        }
    }

    private static void Run(Shelf shelf, string sql)
    {
        using var connection = new SqliteConnection($"Data Source={shelf.File};Foreign Keys=True;Pooling=False");
        connection.Execute(sql);
    }
}
