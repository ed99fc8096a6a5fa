using Dapper;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Store.Tests;

/// <summary>Every move is in the audit, and the audit shows when somebody went over it.</summary>
public sealed class AuditTests
{
    [Fact]
    public void Every_move_of_a_task_a_message_and_a_container_is_a_row_with_who_when_before_and_after()
    {
        using var shelf = Lived();
        shelf.Read(transaction =>
        {
            Assert.Equal([(null, "planned", "planner"), ("planned", "due", "planner"), ("due", "done", "Jo")], Moves(transaction, AuditSubject.Task, Shelf.Task.Key.Text));
            Assert.Equal([(null, "queued", "sender"), ("queued", "sending", "sender"), ("sending", "accepted", "sender")], Moves(transaction, AuditSubject.Message, Shelf.Message.Key.Text));
            Assert.Equal([(null, "issued", "planner"), ("issued", "notice-sent", "planner"), ("notice-sent", "overdue", "planner")], Moves(transaction, AuditSubject.Sharps, "SH"));
            return 0;
        });
        Assert.Equal(9, shelf.Read(transaction => transaction.Audit.Verify()) is { BrokenAt: null, Rows: var rows } ? rows : -1);
    }

    [Theory]
    [InlineData("UPDATE audit SET by = 'somebody else' WHERE audit_id = 3;", 3)]
    [InlineData("UPDATE audit SET at = '2026-03-02T12:00:00.001Z' WHERE audit_id = 5;", 5)]
    [InlineData("UPDATE audit SET note = '' WHERE audit_id = 2;", 2)]
    [InlineData("UPDATE audit SET hash = zeroblob(32) WHERE audit_id = 9;", 9)]
    [InlineData("DELETE FROM audit WHERE audit_id = 4;", 5)]
    [InlineData("DELETE FROM audit WHERE audit_id = 1;", 2)]
    [InlineData("INSERT INTO audit (audit_id, at, by, what, subject, after, hash) SELECT 10, at, by, what, subject, after, hash FROM audit WHERE audit_id = 9;", 10)]
    public void A_row_changed_taken_out_or_put_in_is_named(string sql, long brokenAt)
    {
        using var shelf = Lived();
        GoOver(shelf, sql);
        Assert.Equal(brokenAt, shelf.Read(transaction => transaction.Audit.Verify()).BrokenAt);
    }

    [Fact]
    public void Rows_taken_from_the_end_are_noticed_by_whoever_kept_the_head()
    {
        using var shelf = Lived();
        var head = shelf.Read(transaction => transaction.Audit.FindHead());
        Assert.True(shelf.Read(transaction => transaction.Audit.Holds(head)));
        GoOver(shelf, "DELETE FROM audit WHERE audit_id > 7;");
        Assert.Null(shelf.Read(transaction => transaction.Audit.Verify()).BrokenAt);
        Assert.False(shelf.Read(transaction => transaction.Audit.Holds(head)));
    }

    [Fact]
    public void The_database_itself_refuses_to_change_or_delete_a_row()
    {
        using var shelf = Lived();
        Assert.Contains("never edited", Assert.Throws<SqliteException>(() => Run(shelf, "UPDATE audit SET note = 'x';")).Message, System.StringComparison.Ordinal);
        Assert.Contains("never deleted", Assert.Throws<SqliteException>(() => Run(shelf, "DELETE FROM audit;")).Message, System.StringComparison.Ordinal);
    }

    [Fact]
    public void Of_two_that_move_one_message_the_second_is_told()
    {
        using var shelf = new Shelf();
        shelf.Write(transaction => transaction.Outbox.Add(Shelf.Message));
        var seen = shelf.Read(transaction => transaction.Outbox.Find(Shelf.Message.Key))!;
        shelf.Write(transaction => transaction.Outbox.Claim(seen, Shelf.Now, Shelf.Now + Duration.FromMinutes(30)));
        shelf.Write(transaction => Assert.Throws<System.InvalidOperationException>(() => transaction.Outbox.Claim(seen, Shelf.Now, Shelf.Now + Duration.FromMinutes(30))));
    }

    private static Shelf Lived()
    {
        var shelf = new Shelf();
        shelf.Write(transaction =>
        {
            transaction.Ledger.Put(new Core.Ledger.SharpsContainer { Id = "SH", PatientId = "P", Capacity = 100, IssuedOn = new LocalDate(2026, 3, 2) });
            transaction.Tasks.Apply([new TaskChange(Shelf.Task.Key, Shelf.Task, IsNew: true)], Shelf.Now);
            transaction.Tasks.Move(Shelf.Task.Key, TaskState.Due, Shelf.Now, TaskLife.Planner, null);
            transaction.Outbox.Add(Shelf.Message);
            transaction.SharpsLives.Follow("SH", SharpsState.Overdue, Shelf.Now, TaskLife.Planner);
            transaction.SharpsLives.Follow("SH", SharpsState.Overdue, Shelf.Now, TaskLife.Planner);
        });
        shelf.Write(transaction =>
        {
            transaction.Tasks.Move(Shelf.Task.Key, TaskState.Done, Shelf.Now, "Jo", "asked by telephone");
            var marked = transaction.Outbox.Claim(transaction.Outbox.Find(Shelf.Message.Key)!, Shelf.Now, Shelf.Now + Duration.FromMinutes(30));
            transaction.Outbox.Move(marked, MessageState.Accepted, Shelf.Now, Shelf.Now, "250 taken");
        });
        return shelf;
    }

    private static (string? Before, string? After, string By)[] Moves(StoreTransaction transaction, AuditSubject what, string subject) =>
        [.. System.Linq.Enumerable.Select(transaction.Audit.ListAbout(what, subject), row => (row.Before, row.After, row.By))];

    // As somebody would who has the file and knows SQL.
    private static void GoOver(Shelf shelf, string sql) => Run(shelf, "DROP TRIGGER audit_is_never_edited; DROP TRIGGER audit_is_never_deleted; " + sql);

    private static void Run(Shelf shelf, string sql)
    {
        using var connection = new SqliteConnection($"Data Source={shelf.File};Pooling=False");
        connection.Execute(sql);
    }
}
