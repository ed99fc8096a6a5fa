using System.Linq;
using Microsoft.Data.Sqlite;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Store.Tests;

/// <summary>A disk that is full, and a file that another program holds.</summary>
public sealed class DiskTests
{
    private const int Full = 13;
    private const int Busy = 5;

    [Fact]
    public void S1_When_the_disk_is_full_nothing_is_half_written_and_all_can_be_read()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Plans.Put("C", "medicine", string.Empty, Shelf.Now));
        using (var transaction = shelf.Database.Begin())
        {
            // No page more than the file has.
            transaction.Connection.Execute("PRAGMA max_page_count = 1;");
            transaction.Tasks.Apply([new TaskChange(Shelf.Task.Key, Shelf.Task, IsNew: true)], Shelf.Now);
            Assert.Equal(Full, Assert.Throws<SqliteException>(() => WriteMuch(transaction)).SqliteErrorCode);
        }

        using var reading = shelf.Database.Read();
        Assert.Empty(reading.Ledger.ListFacts());
        Assert.Empty(reading.DueList.List("S", new(2026, 3, 31)).Tasks);
        Assert.Equal(0, reading.Outbox.Count(Core.Messages.MessageState.Queued));
        Assert.NotNull(reading.Snapshots.Find("P"));
        Assert.Empty(shelf.Database.FindDamage().Complaints);
    }

    [Fact]
    public void S3_A_writer_waits_for_the_one_before_and_then_says_that_the_file_is_busy()
    {
        using var shelf = new Shelf();
        using var second = PlannerDatabase.Open(shelf.File, Shelf.Now, busySeconds: 1);
        using (var first = shelf.Database.Begin())
        {
            Assert.Equal(Busy, Assert.Throws<SqliteException>(second.Begin).SqliteErrorCode);
            using var reading = second.Read();
            Assert.NotNull(reading.Snapshots.Find("P"));
        }

        using var now = second.Begin();
        now.Ledger.Add(Shelf.Fill, Shelf.Now, "test");
        now.Commit();
        Assert.Single(shelf.Read(transaction => transaction.Ledger.ListFacts()));
    }

    [Fact]
    public async System.Threading.Tasks.Task S3_A_writer_goes_on_when_the_one_before_is_done()
    {
        using var shelf = new Shelf();
        var first = shelf.Database.Begin();
        var isWaiting = new System.Threading.Tasks.TaskCompletionSource();
        var second = System.Threading.Tasks.Task.Run(() =>
        {
            isWaiting.SetResult();
            shelf.Write(transaction => transaction.Ledger.Add(Shelf.Fill, Shelf.Now, "test"));
        });
        await isWaiting.Task;
        first.Ledger.Add(Shelf.Fill with { Id = "F-0" }, Shelf.Now, "test");
        first.Commit();
        first.Dispose();
        await second;
        Assert.Equal(["F-0", "F-1"], shelf.Read(transaction => transaction.Ledger.ListFacts()).Select(fact => fact.Id));
    }

    [Fact]
    public void S3_A_file_that_another_program_holds_alone_is_busy_for_readers_too_and_then_is_not()
    {
        using var shelf = new Shelf();
        shelf.Database.Dispose();
        using (var other = new SqliteConnection($"Data Source={shelf.File};Pooling=False"))
        {
            other.Open();
            using var command = other.CreateCommand();
            command.CommandText = "PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE;";
            command.ExecuteNonQuery();
            Assert.Equal(Busy, Assert.Throws<SqliteException>(() => PlannerDatabase.Open(shelf.File, Shelf.Now, busySeconds: 1)).SqliteErrorCode);
        }

        using var database = PlannerDatabase.Open(shelf.File, Shelf.Now, busySeconds: 1);
        using var reading = database.Read();
        Assert.NotNull(reading.Snapshots.Find("P"));
    }

    private static void WriteMuch(StoreTransaction transaction)
    {
        for (var fact = 0; fact < 1_000; fact++)
        {
            transaction.Ledger.Add(Shelf.Fill with { Id = $"F-{fact}" }, Shelf.Now, "test");
            transaction.Outbox.Add(Shelf.Message with { Key = new($"patient-notice/P/{fact}"), Text = new string('x', 3_000) });
        }
    }
}
