using System;
using System.IO;
using System.Linq;
using System.Reflection;
using Dapper;
using Microsoft.Data.Sqlite;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Store.Tests;

/// <summary>A kept database of an earlier release, and what becomes of it.</summary>
public sealed class MigrationTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-migration-");

    public MigrationTests()
    {
        using var kept = Assembly.GetExecutingAssembly().GetManifestResourceStream("kept/at-0005.db")!;
        using var copy = System.IO.File.Create(File);
        kept.CopyTo(copy);
    }

    private string File => Path.Combine(_folder.FullName, "refill-planner.db");

    private static int Newest => Migrator.List()[^1].Number;

    private string Before => $"{File}.before-{Newest:0000}";

    [Fact]
    public void P9_A_database_of_an_earlier_release_is_brought_up_and_all_of_it_reads_whole()
    {
        using var database = PlannerDatabase.Open(File, Shelf.Now);
        var verdict = database.FindDamage();
        Assert.Empty(verdict.Complaints);
        Assert.Null(verdict.Audit.BrokenAt);
        using var reading = database.Read();
        var snapshot = reading.Snapshots.Find("P-1")!;
        Assert.Equal(("C-1", "F-1", "R-1", "SH-1", 2), (snapshot.Courses[0].Course.Id, snapshot.Courses[0].Facts[0].Id, snapshot.Courses[0].Prescriptions[0].Id, snapshot.Sharps[0].Id, snapshot.Courses[0].Steps.Count));
        Assert.Equal(["P-1", "P-2"], reading.Snapshots.ListPatientIds());
        var row = Assert.Single(reading.DueList.List("S", new(2026, 3, 11)).Tasks);
        Assert.Equal((TaskState.Due, true, "semaglutide, 0.25 mg every 7 days"), (row.State, row.Patient.HasNamesake, row.Course!.Medicine));
        Assert.Equal(["planned", "due"], reading.Tasks.ListMoves(row.Key).Select(move => move.After));
        Assert.Equal(MessageState.Unknown, reading.Outbox.Find(new MessageKey("patient-notice/P-1/2026-03-05"))!.State);
        Assert.Equal(0, reading.Planning.CountWanted());
    }

    [Fact]
    public void P9_A_copy_as_it_was_is_kept_beside_it_and_opens_with_the_earlier_release()
    {
        PlannerDatabase.Open(File, Shelf.Now).Dispose();
        Assert.True(System.IO.File.Exists(Before), "the copy is there");
        using var copy = Connect(Before);
        Migrator.Apply(copy, Shelf.Now, [.. Migrator.List().Where(migration => migration.Number <= 5)]);
        Assert.Equal(5, copy.ExecuteScalar<long>("SELECT max(number) FROM schema_migrations;"));
        Assert.Equal(1, copy.ExecuteScalar<long>("SELECT count(*) FROM outbox;"));
        Assert.Equal([Path.GetFileName(File), Path.GetFileName(Before)], Directory.GetFiles(_folder.FullName).Select(Path.GetFileName).Where(name => !name!.EndsWith("-wal", StringComparison.Ordinal) && !name.EndsWith("-shm", StringComparison.Ordinal)).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void P9_An_earlier_release_refuses_it_in_one_sentence()
    {
        PlannerDatabase.Open(File, Shelf.Now).Dispose();
        using var connection = Connect(File);
        var refusal = Assert.Throws<SchemaException>(() => Migrator.Apply(connection, Shelf.Now, [.. Migrator.List().Where(migration => migration.Number <= 5)]));
        Assert.Contains("newer version of this program", refusal.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', refusal.Message);
    }

    [Fact]
    public void P9_Missing_migrations_are_applied_all_or_none()
    {
        using var connection = Connect(File);
        connection.CreateFunction("row_digest", RowDigest.Of);
        Assert.Throws<SqliteException>(() => Migrator.Apply(connection, Shelf.Now, [.. Migrator.List(), new Migration(9998, "9998_broken.sql", "CREATE TABLE half (a INTEGER); SELECT nonsense;")]));
        Assert.Equal(5, connection.ExecuteScalar<long>("SELECT max(number) FROM schema_migrations;"));
        Assert.Equal(1, connection.ExecuteScalar<long>("SELECT count(*) FROM outbox;"));
        Assert.Equal(0, connection.ExecuteScalar<long>("SELECT count(*) FROM sqlite_schema WHERE name IN ('audit', 'half', 'patient_digests');"));
    }

    [Theory]
    [InlineData("DROP TRIGGER facts_are_never_deleted;")]
    [InlineData("DROP INDEX facts_by_course;")]
    [InlineData("CREATE TRIGGER more AFTER INSERT ON facts BEGIN DELETE FROM planning_wanted; END;")]
    [InlineData("ALTER TABLE sharps ADD COLUMN more TEXT;")]
    [InlineData("DELETE FROM schema_migrations WHERE number > 5;")]
    [InlineData("DELETE FROM schema_seal;")]
    public void A_schema_that_was_changed_otherwise_is_refused(string change)
    {
        PlannerDatabase.Open(File, Shelf.Now).Dispose();
        using (var connection = Connect(File))
            connection.Execute(change);
        var refusal = Assert.Throws<SchemaException>(() => PlannerDatabase.Open(File, Shelf.Now));
        Assert.Contains("put a backup in its place", refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_file_that_is_no_database_is_refused_with_what_to_do()
    {
        System.IO.File.WriteAllText(File, new string('x', 5000));
        Assert.Contains("put a backup in its place", Assert.Throws<SchemaException>(() => PlannerDatabase.Open(File, Shelf.Now)).Message, StringComparison.Ordinal);
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private static SqliteConnection Connect(string file)
    {
        var connection = new SqliteConnection($"Data Source={file};Pooling=False");
        connection.Open();
        return connection;
    }
}
