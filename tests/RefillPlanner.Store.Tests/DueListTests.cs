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

/// <summary>The rows of a site's list, and that they come from indexes.</summary>
public sealed class DueListTests
{
    private static readonly LocalDate Through = new(2026, 3, 11);

    [Fact]
    public void A_row_has_all_that_the_list_says()
    {
        using var shelf = new Shelf();
        Add(shelf, Task("a", "2026-03-10") with { PlannedOn = new(2026, 3, 9) });
        shelf.Write(transaction => transaction.Plans.Put("C", "semaglutide, 0.5 mg every 7 days", "one\ntwo", Shelf.Now));
        var row = Assert.Single(List(shelf));
        Assert.Equal(new ListedTask
        {
            Key = new TaskKey("a"),
            Kind = TaskKind.RefillContact,
            State = TaskState.Planned,
            PlannedOn = new(2026, 3, 9),
            DueOn = new(2026, 3, 10),
            Reason = Shelf.Task.Reason,
            Patient = new ListedPatient("P", "Marl Quillfeather", HasNamesake: false, new LocalDate(1980, 2, 29), Phone: null),
            CourseId = "C",
            Course = new CourseLine("semaglutide, 0.5 mg every 7 days", "one\ntwo"),
        }, row);
        Assert.Equal(["one", "two"], row.Course!.ListFindings());
    }

    [Fact]
    public void The_rows_are_those_due_by_the_day_and_those_waiting_earliest_first()
    {
        using var shelf = new Shelf();
        Add(shelf, Task("late", "2026-02-10"), Task("b last day", "2026-03-11"), Task("a last day", "2026-03-11"), Task("later", "2026-03-12"), Task("waiting", "2026-03-02"), Task("waiting later", "2026-03-20"), Task("done", "2026-03-02"), Task("withdrawn", "2026-03-02"));
        shelf.Write(transaction =>
        {
            foreach (var key in new[] { "late", "waiting", "waiting later" })
                transaction.Tasks.Move(new TaskKey(key), TaskState.Due, Shelf.Now, "planner", null);
            transaction.Tasks.Move(new TaskKey("late"), TaskState.Overdue, Shelf.Now, "planner", null);
            transaction.Tasks.Move(new TaskKey("waiting"), TaskState.Waiting, Shelf.Now, "planner", null);
            transaction.Tasks.Move(new TaskKey("waiting later"), TaskState.Waiting, Shelf.Now, "planner", null);
            transaction.Tasks.Move(new TaskKey("done"), TaskState.Done, Shelf.Now, "Awl", null);
            transaction.Tasks.Move(new TaskKey("withdrawn"), TaskState.Withdrawn, Shelf.Now, "planner", null);
        });
        Assert.Equal(["late", "waiting", "a last day", "b last day", "waiting later"], List(shelf).Select(row => row.Key.Text));
    }

    [Fact]
    public void Another_sites_rows_are_not_on_the_list_and_its_patients_are_no_namesakes()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(Shelf.Site with { Id = "S-2" });
            transaction.Ledger.Put(Shelf.Patient with { Id = "P-2", SiteId = "S-2" });
        });
        Add(shelf, Task("here", "2026-03-10"), Task("there", "2026-03-10") with { SiteId = "S-2", PatientId = "P-2" });
        Assert.Equal([("here", false)], List(shelf).Select(row => (row.Key.Text, row.Patient.HasNamesake)));
        Assert.Equal(["there"], List(shelf, "S-2").Select(row => row.Key.Text));
    }

    [Fact]
    public void Two_patients_of_one_name_at_one_site_are_namesakes()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(Shelf.Patient with { Id = "P-2", BornOn = null });
            transaction.Ledger.Put(Shelf.Patient with { Id = "P-3", Name = "Marl Quillfeathers" });
            transaction.Outbox.Add(Shelf.Message with { To = null });
        });
        Add(shelf, Task("a", "2026-03-10"), Task("b", "2026-03-10") with { PatientId = "P-2" }, Task("c", "2026-03-10") with { PatientId = "P-3" });
        Assert.Equal([("P", true), ("P-2", true), ("P-3", false)], List(shelf).Select(row => (row.Patient.Id, row.Patient.HasNamesake)));
        Assert.True(shelf.Read(transaction => transaction.Outbox.ListNotAccepted("S", Shelf.Now)).Single().Patient!.Value.HasNamesake);
    }

    [Fact]
    public void A_sharps_containers_row_has_no_course_and_a_course_without_its_line_is_not_shown()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Ledger.Put(new SharpsContainer { Id = "SH", PatientId = "P", Capacity = 100, IssuedOn = new(2026, 1, 1) }));
        AddWithoutPlan(shelf, Task("course", "2026-03-10"), Task("sharps", "2026-03-10") with { Kind = TaskKind.SharpsReturn, CourseId = null, SharpsId = "SH" });
        Assert.Equal([("sharps", null, null)], List(shelf).Select(row => (row.Key.Text, row.CourseId, row.Course)));
        var damage = shelf.Read(transaction => transaction.DueList.List("S", Through).Damaged).Single();
        Assert.Equal(("C", "P", "C", "Marl Quillfeather"), (damage.Key, damage.PatientId, damage.CourseId, damage.Patient?.Name));
    }

    [Fact]
    public void A_course_that_says_the_same_is_not_written_again()
    {
        using var shelf = new Shelf();
        void Put(string findings, Instant at) => shelf.Write(transaction => transaction.Plans.Put("C", "medicine", findings, at));
        string PlannedAt() => Run(shelf, connection => connection.ExecuteScalar<string>("SELECT planned_at FROM plans WHERE course_id = 'C';"))!;
        Put("one", Shelf.Now);
        var first = PlannedAt();
        Put("one", Shelf.Now + Duration.FromDays(1));
        Assert.Equal(first, PlannedAt());
        Put("two", Shelf.Now + Duration.FromDays(1));
        Assert.NotEqual(first, PlannedAt());
    }

    [Theory]
    [InlineData(DueListStore.Sql, "open_tasks_by_site", "waiting_tasks_by_site", "same")]
    [InlineData(OutboxStore.NotAcceptedSql, "messages_not_accepted", "same")]
    public void The_list_comes_from_indexes_already_in_its_order(string sql, params string[] indexes)
    {
        using var shelf = new Shelf();
        var steps = Run(shelf, connection => connection.Query<(long Id, long Parent, long Unused, string Detail)>("EXPLAIN QUERY PLAN " + sql, new { siteId = "S", through = "2026-03-11", since = "2026-02-01" }).Select(step => step.Detail).ToArray());
        Assert.NotEmpty(steps);
        Assert.DoesNotContain(steps, step => step.Contains("SCAN", StringComparison.Ordinal) || step.Contains("TEMP B-TREE", StringComparison.Ordinal));
        Assert.All(indexes, index => Assert.Contains(steps, step => step.Contains(index, StringComparison.Ordinal)));
    }

    [Fact]
    public void A_database_of_the_version_before_keeps_its_tasks()
    {
        using var connection = new SqliteConnection("Data Source=:memory:;Foreign Keys=True");
        connection.Open();
        Migrator.Apply(connection, Shelf.Now, [.. Migrator.List().Where(migration => migration.Number < 4)]);
        connection.Execute("""
            INSERT INTO sites (site_id, name, time_zone, closed_weekdays, closed_on, carrier_closed_on) VALUES ('S', 'S', 'America/New_York', '', '', '');
            INSERT INTO patients (patient_id, name, site_id, status, language, handover) VALUES ('P', 'P', 'S', 'active', 'english', 'pickup');
            INSERT INTO courses (course_id, patient_id, started_on, expelled) VALUES ('C', 'P', '2026-03-02', 0);
            INSERT INTO plans (course_id, as_of, planned_at, projection) VALUES ('C', '2026-03-02', '', '{}');
            INSERT INTO tasks (task_key, kind, site_id, patient_id, course_id, planned_on, due_on, due_at, late_days, reason, state, changed_at, changed_by, version)
            VALUES ('a', 'prepare', 'S', 'P', 'C', '2026-03-02', '2026-03-02', '', 2, 'why', 'due', '', 'planner', 1);
            """);
        Migrator.Apply(connection, Shelf.Now);
        Assert.Equal([("a", "due", "why")], connection.Query<(string, string, string)>("SELECT task_key, state, reason FROM tasks;"));
        Assert.Equal(0, connection.ExecuteScalar<long>("SELECT count(*) FROM plans;"));
    }

    private static PlannedTask Task(string key, string dueOn) => Shelf.Task with { Key = new TaskKey(key), DueOn = NodaTime.Text.LocalDatePattern.Iso.Parse(dueOn).Value };

    private static void Add(Shelf shelf, params PlannedTask[] tasks)
    {
        shelf.Write(transaction => transaction.Plans.Put("C", "medicine", string.Empty, Shelf.Now));
        AddWithoutPlan(shelf, tasks);
    }

    private static void AddWithoutPlan(Shelf shelf, params PlannedTask[] tasks) =>
        shelf.Write(transaction => transaction.Tasks.Apply([.. tasks.Select(task => new TaskChange(task.Key, task, IsNew: true))], Shelf.Now));

    private static ListedTask[] List(Shelf shelf, string siteId = "S") => shelf.Read(transaction => transaction.DueList.List(siteId, Through).Tasks.ToArray());

    private static T Run<T>(Shelf shelf, Func<SqliteConnection, T> read)
    {
        using var connection = new SqliteConnection($"Data Source={shelf.File};Pooling=False");
        return read(connection);
    }
}
