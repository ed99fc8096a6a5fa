using System;
using System.Collections.Generic;
using System.Linq;
using Dapper;
using Microsoft.Data.Sqlite;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Store.Tests;

/// <summary>Rows that were changed, lost or doubled behind the program's back, and who notices.</summary>
public sealed class DamageTests
{
    private const string WithoutTriggers = "DROP TRIGGER facts_are_never_edited; DROP TRIGGER facts_are_never_deleted;";

    public static TheoryData<string> OfThePatient => new(
        "UPDATE patients SET handover = 'ship';",
        "UPDATE courses SET expelled = 100000;",
        "UPDATE steps SET doses = '2500000000';",
        "UPDATE steps SET every_days = 1;",
        "UPDATE prescriptions SET refills_authorized = 9;",
        "UPDATE facts SET containers = 9;",
        "UPDATE facts SET digest = digest + 1;",
        "UPDATE sharps SET capacity = 900;",
        "DELETE FROM steps WHERE step = 2;",
        "DELETE FROM prescriptions;",
        "DELETE FROM facts WHERE fact_id = 'F-1';",
        "DELETE FROM facts; DELETE FROM steps; DELETE FROM prescriptions; DELETE FROM courses;",
        "DELETE FROM patients;",
        "DELETE FROM sharps;",
        "DELETE FROM patient_digests;",
        "UPDATE patient_digests SET digest = 0;");

    [Theory]
    [MemberData(nameof(OfThePatient))]
    public void S2_Nothing_is_read_of_a_patient_of_whose_rows_one_was_changed_or_lost(string damage)
    {
        using var shelf = Full();
        Assert.NotNull(shelf.Read(transaction => transaction.Snapshots.Find("P")));
        Damage(shelf, damage);
        using var reading = shelf.Database.Read();
        Assert.Contains("damaged on disk", Assert.Throws<DamagedRowException>(() => reading.Snapshots.Find("P")).Message, StringComparison.Ordinal);
        Assert.Contains("P", reading.Snapshots.ListPatientIds());
        Assert.NotEmpty(shelf.Database.FindDamage().Complaints);
    }

    [Theory]
    [InlineData("UPDATE products SET volume = 15000000;")]
    [InlineData("UPDATE devices SET dead_space = 0;")]
    [InlineData("UPDATE sites SET closed_weekdays = '';")]
    [InlineData("INSERT INTO products SELECT 'V-2', drug, kind, unit, strength_amount, strength_per, volume, dose_amount, in_use_days, in_use_count, dial_step, dial_max, prime, first_prime, beyond_use_days, prepare_open_days, cold, hazardous, max_dose, min_every_days, 'V', label_en, label_es, check_prompts, digest FROM products;")]
    [InlineData("DELETE FROM devices;")]
    public void S2_Nothing_is_worked_out_while_a_site_a_product_or_a_device_is_damaged(string damage)
    {
        using var shelf = Full();
        Damage(shelf, damage);
        using var again = PlannerDatabase.Open(shelf.File, Shelf.Now);
        using var reading = again.Read();
        Assert.Throws<DamagedRowException>(reading.Snapshots.ReadReference);
        Assert.NotEmpty(again.FindDamage().Complaints);
    }

    [Theory]
    [InlineData("UPDATE tasks SET due_on = '2026-03-09' WHERE task_key = 'a';", "a", "C", null)]
    [InlineData("UPDATE tasks SET reason = 'other' WHERE task_key = 'a';", "a", "C", null)]
    [InlineData("UPDATE plans SET medicine = 'semaglutide, 5 mg';", "C", "C", "Marl Quillfeather")]
    [InlineData("UPDATE patients SET phone = '1';", "P", "C", null)]
    public void S2_A_task_whose_rows_were_changed_is_named_and_not_shown(string damage, string key, string courseId, string? name)
    {
        using var shelf = Full();
        Damage(shelf, damage);
        var rows = shelf.Read(transaction => transaction.DueList.List("S", new(2026, 3, 31)));
        Assert.DoesNotContain(rows.Tasks, task => task.Key.Text == "a");
        Assert.Contains(rows.Damaged, damaged => damaged.Key == key && damaged.PatientId == "P" && damaged.CourseId == courseId && damaged.Patient?.Name == name);
        Assert.NotEmpty(shelf.Database.FindDamage().Complaints);
    }

    [Theory]
    [InlineData("DELETE FROM tasks WHERE task_key = 'a';")]
    [InlineData("UPDATE task_days SET digest = 1;")]
    [InlineData("UPDATE tasks SET site_id = 'S-2' WHERE task_key = 'a';")]
    [InlineData("UPDATE tasks SET state = 'done' WHERE task_key = 'a';")]
    public void S2_A_day_from_which_a_task_is_gone_is_named_on_the_list(string damage)
    {
        using var shelf = Full();
        shelf.Write(transaction => transaction.Ledger.Put(Shelf.Site with { Id = "S-2" }));
        Damage(shelf, damage);
        Assert.Contains(shelf.Read(transaction => transaction.DueList.List("S", new(2026, 3, 31))).Damaged, damaged => damaged.Key == "S 2026-03-10");
    }

    [Theory]
    [InlineData("patients")]
    [InlineData("plans")]
    [InlineData("tasks")]
    public void S2_A_page_that_cannot_be_read_takes_no_more_with_it_than_what_lies_on_it(string table)
    {
        using var shelf = Full();
        shelf.Write(transaction => transaction.Tasks.Apply([new TaskChange(new TaskKey("sharps"), Task("sharps") with { CourseId = null, SharpsId = "SH" }, IsNew: true)], Shelf.Now));
        shelf.Database.Dispose();
        SpoilPage(shelf, table);
        using var database = PlannerDatabase.Open(shelf.File, Shelf.Now);
        using var reading = database.Read();
        var rows = reading.DueList.List("S", new(2026, 3, 31));
        Assert.Equal(table == "plans" ? ["sharps"] : [], rows.Tasks.Select(task => task.Key.Text));
        Assert.Subset(rows.Damaged.Select(damage => damage.Key).ToHashSet(), new HashSet<string> { "a", "b" });
        Assert.NotEmpty(database.FindDamage().Complaints);
        if (table == "patients")
            Assert.Throws<DamagedRowException>(() => reading.Snapshots.Find("P"));
    }

    [Theory]
    [InlineData("DELETE FROM patient_names;", "Marl Quillfeather", true)]
    [InlineData("DELETE FROM patient_names;", "Marl Fernsworth", false)]
    [InlineData("UPDATE patient_names SET patients = 1;", "Marl Quillfeather", true)]
    [InlineData("UPDATE patient_names SET patients = 2;", "Marl Fernsworth", false)]
    public void S2_A_warning_of_namesakes_does_not_depend_on_one_table(string damage, string other, bool isNamesake)
    {
        using var shelf = Full();
        shelf.Write(transaction => transaction.Ledger.Put(Shelf.Patient with { Id = "P-2", Name = other }));
        Damage(shelf, damage);
        Assert.All(shelf.Read(transaction => transaction.DueList.List("S", new(2026, 3, 31))).Tasks, task => Assert.Equal(isNamesake, task.Patient.HasNamesake));
    }

    [Fact]
    public void A_record_that_was_put_again_is_whole_again()
    {
        using var shelf = Full();
        Damage(shelf, "UPDATE patients SET phone = '1'; UPDATE prescriptions SET refills_authorized = 9; UPDATE sharps SET capacity = 900;");
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(Shelf.Patient);
            transaction.Ledger.Put(Prescription);
            transaction.Ledger.Put(Sharps);
        });
        Assert.NotNull(shelf.Read(transaction => transaction.Snapshots.Find("P")));
        Assert.Empty(shelf.Database.FindDamage().Complaints);
    }

    [Fact]
    public void What_moves_from_one_patient_or_site_to_another_is_whole_at_both()
    {
        using var shelf = Full();
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(Shelf.Site with { Id = "S-2" });
            transaction.Ledger.Put(Shelf.Patient with { Id = "P-2", SiteId = "S-2" });
            transaction.Ledger.Add(Shelf.Course with { Id = "C-2", PatientId = "P-2" });
            transaction.Ledger.Add(Shelf.Step with { CourseId = "C-2" });
            transaction.Ledger.Put(Sharps with { PatientId = "P-2" });
            transaction.Ledger.Put(Prescription with { CourseId = "C-2" });
            transaction.Ledger.Put(Shelf.Patient with { SiteId = "S-2" });
            transaction.Tasks.Apply([new TaskChange(new TaskKey("a"), Task("a") with { SiteId = "S-2", DueOn = new(2026, 3, 12) }, IsNew: false)], Shelf.Now);
        });
        Assert.Empty(shelf.Database.FindDamage().Complaints);
    }

    [Fact]
    public void What_was_taken_back_with_its_transaction_is_missed_by_nobody()
    {
        using var shelf = Full();
        using (var transaction = shelf.Database.Begin())
        {
            transaction.Ledger.Add(Shelf.Fill with { Id = "F-9" }, Shelf.Now, "test");
            transaction.Tasks.Apply([new TaskChange(new TaskKey("z"), Task("z"), IsNew: true)], Shelf.Now);
            Assert.Equal(3, transaction.Snapshots.Find("P")!.Courses.Single().Facts.Count);
            Assert.Contains(transaction.DueList.List("S", new(2026, 3, 31)).Tasks, task => task.Key.Text == "z");
        }

        Assert.Empty(shelf.Database.FindDamage().Complaints);
    }

    [Fact]
    public void A_planning_record_that_was_changed_is_made_anew()
    {
        using var shelf = Full();
        shelf.Write(transaction => transaction.Planning.Put(transaction.Snapshots.Find("P")!, [1, 2, 3], changeOn: null));
        Damage(shelf, "UPDATE planning SET figures = x'010204';");
        var planned = shelf.Read(transaction => transaction.Planning.ListAfter(string.Empty, 9)).Single();
        Assert.Equal(("P", 0), (planned.PatientId, planned.Record.Length));
    }

    [Fact]
    public void The_whole_file_is_read_and_nothing_is_found_where_nothing_is_damaged()
    {
        using var shelf = Full();
        Assert.Empty(shelf.Database.Check());
        var verdict = shelf.Database.FindDamage();
        Assert.Empty(verdict.Complaints);
        Assert.True(verdict.Rows > 12, $"{verdict.Rows} rows");
    }

    private static Prescription Prescription => new() { Id = "R", CourseId = "C", IssuedOn = new(2026, 3, 1), RefillsAuthorized = 3 };

    private static SharpsContainer Sharps => new() { Id = "SH", PatientId = "P", Capacity = 100, IssuedOn = new(2026, 3, 2) };

    private static PlannedTask Task(string key) => Shelf.Task with { Key = new TaskKey(key) };

    private static Shelf Full()
    {
        var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            transaction.Ledger.Add(Shelf.Step with { Number = 2 });
            transaction.Ledger.Add(Shelf.Fill, Shelf.Now, "test");
            transaction.Ledger.Add(Shelf.Fill with { Id = "F-2" }, Shelf.Now, "test");
            transaction.Ledger.Put(Prescription);
            transaction.Ledger.Put(Sharps);
            transaction.Plans.Put("C", "semaglutide, 0.5 mg every 7 days", string.Empty, Shelf.Now);
            transaction.Tasks.Apply([new TaskChange(new TaskKey("a"), Task("a"), IsNew: true), new TaskChange(new TaskKey("b"), Task("b"), IsNew: true)], Shelf.Now);
            transaction.Outbox.Add(Shelf.Message);
        });
        return shelf;
    }

    private static void Damage(Shelf shelf, string sql)
    {
        using var connection = new SqliteConnection($"Data Source={shelf.File};Pooling=False;Foreign Keys=False");
        connection.Open();
        connection.Execute(sql.Contains("facts", StringComparison.Ordinal) ? WithoutTriggers + sql : sql);
    }

    // The first byte of a page says what kind it is.
    private static void SpoilPage(Shelf shelf, string table)
    {
        int page;
        using (var connection = new SqliteConnection($"Data Source={shelf.File};Pooling=False"))
            page = connection.ExecuteScalar<int>("SELECT rootpage FROM sqlite_schema WHERE name = @table;", new { table });
        using var file = System.IO.File.OpenWrite(shelf.File);
        file.Position = (page - 1) * 4096L;
        file.WriteByte(0xff);
    }
}
