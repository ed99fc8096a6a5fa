using System;
using System.IO;
using System.Linq;
using System.Text.Json;
using System.Threading;
using System.Threading.Tasks;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Commands;
using RefillPlanner.Service.Tests.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Storage;

/// <summary>Backups, and what becomes of one that is put back.</summary>
public sealed class BackupTests : IDisposable
{
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly DateTimeOffset Morning = new(2026, 3, 2, 15, 0, 0, TimeSpan.Zero);
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-backup-");

    private string State => Path.Combine(_folder.FullName, "state");

    private string Shelf => Path.Combine(_folder.FullName, "shelf");

    [Fact]
    public async Task S4_A_backup_is_one_file_that_was_read_back_and_its_instant_is_remembered()
    {
        await Answer.OfAsync("demo", "--today", Told.Day, "--data", State);
        Directory.CreateDirectory(Shelf);
        var answer = await Answer.OfAsync("backup", Shelf, "--json", "--data", State);
        Assert.Equal(ExitCode.Done, answer.Code);
        using var report = JsonDocument.Parse(answer.Output);
        var file = Assert.Single(Directory.GetFiles(Shelf));
        Assert.Equal(file, report.RootElement.GetProperty("file").GetString());
        Assert.Matches(@"refill-planner-\d{8}-\d{6}\.db$", file);
        Assert.Equal(new FileInfo(file).Length, report.RootElement.GetProperty("bytes").GetInt64());
        Assert.True(report.RootElement.GetProperty("rows").GetInt64() > 300, answer.Output);
        Assert.Equal(64, report.RootElement.GetProperty("audit_head").GetString()!.Length);
        using var database = PlannerDatabase.Open(Path.Combine(State, "refill-planner.db"), Instant.FromDateTimeOffset(Morning));
        using var reading = database.Read();
        Assert.NotNull(reading.Life.FindLastBackup());
        Assert.Empty(reading.Pauses.List());
    }

    [Fact]
    public async Task S4_A_backup_replaces_nothing_and_one_that_cannot_be_written_leaves_nothing()
    {
        await Answer.OfAsync("demo", "--today", Told.Day, "--data", State);
        Directory.CreateDirectory(Shelf);
        var file = Path.Combine(Shelf, "mine.db");
        await File.WriteAllTextAsync(file, "precious", TestContext.Current.CancellationToken);
        var answer = await Answer.OfAsync("backup", file, "--data", State);
        Assert.Equal(ExitCode.CannotWrite, answer.Code);
        Assert.Contains("replaces nothing", answer.Errors, StringComparison.Ordinal);
        Assert.Equal("precious", await File.ReadAllTextAsync(file, TestContext.Current.CancellationToken));
        Assert.Equal(ExitCode.CannotWrite, (await Answer.OfAsync("backup", Path.Combine(Shelf, "nowhere", "b.db"), "--data", State)).Code);
        Assert.Equal([file], Directory.GetFiles(Shelf));
    }

    [Fact]
    public async Task S4_No_backup_is_made_of_a_damaged_file()
    {
        await Answer.OfAsync("demo", "--today", Told.Day, "--data", State);
        await using (var connection = new SqliteConnection($"Data Source={Path.Combine(State, "refill-planner.db")};Pooling=False"))
        {
            connection.Open();
            await using var command = connection.CreateCommand();
            command.CommandText = "UPDATE steps SET every_days = every_days + 1 WHERE course_id = 'C-101';";
            command.ExecuteNonQuery();
        }

        Directory.CreateDirectory(Shelf);
        var answer = await Answer.OfAsync("backup", Shelf, "--data", State);
        Assert.Equal(ExitCode.Away, answer.Code);
        Assert.Contains("C-101 in steps is damaged", answer.Errors, StringComparison.Ordinal);
        Assert.Empty(Directory.GetFiles(Shelf));
    }

    [Fact]
    public async Task S4_Backups_made_while_others_write_are_whole()
    {
        using var bench = new Bench(Morning);
        bench.ImportDemo(Today);
        bench.Planning.Run();
        Directory.CreateDirectory(Shelf);
        using var enough = new CancellationTokenSource();
        var written = 0;
        var writing = Task.Run(() =>
        {
            for (; !enough.IsCancellationRequested; written++)
            {
                bench.Import($"fact_id,course_id,kind,on,note\r\nF-{written},C-101,answered,2026-03-02,later\r\n");
                bench.Planning.Run();
            }
        });
        for (var backup = 0; backup < 10; backup++)
        {
            var report = DatabaseBackup.Make(bench.Desk.Database, Path.Combine(Shelf, $"{backup}.db"), bench.Desk.Now);
            Assert.False(File.Exists(report.File + "-wal"), "one file");
            using var copy = PlannerDatabase.Open(report.File, bench.Desk.Now);
            Assert.Empty(copy.FindDamage().Complaints);
        }

        await enough.CancelAsync();
        await writing;
        Assert.True(written > 0, "somebody wrote");
        Assert.Empty(bench.Desk.Database.FindDamage().Complaints);
    }

    /// <summary>The drill of docs/how-to/restore.md, from the backup to the confirmation.</summary>
    [Fact]
    public async Task S5_A_backup_that_is_put_back_sends_nothing_until_a_person_confirms()
    {
        using var bench = new Bench(Morning);
        bench.ImportDemo(Today);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        bench.Import("fact_id,course_id,kind,on,note\r\nF-NEW,C-101,answered,2026-03-02,later\r\n");
        var file = DatabaseBackup.Make(bench.Desk.Database, Path.Combine(_folder.FullName, "backup.db"), bench.Desk.Now).File;
        bench.Time.Advance(TimeSpan.FromDays(1));
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        var sent = bench.Route.Letters.Count;

        bench.PutBack(file);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        Assert.Equal(sent, bench.Route.Letters.Count);
        using (var reading = bench.Desk.Database.Read())
        {
            var pause = Assert.Single(reading.Pauses.List());
            Assert.Equal((PauseKind.Restored, (Instant?)null), (pause.Kind, pause.Until));
            Assert.Contains("backup made on 2026-03-02 at 15:00 UTC", pause.Reason, StringComparison.Ordinal);
            Assert.NotNull(reading.Ledger.FindFact("F-NEW"));
        }

        using (var transaction = bench.Desk.Database.Begin())
        {
            transaction.Pauses.End(PauseKind.Restored, bench.Desk.Now, "Awl Person");
            transaction.Commit();
        }

        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        Assert.True(bench.Route.Letters.Count > sent, "it goes on");
        Assert.Empty(bench.Desk.Database.FindDamage().Complaints);
    }

    public void Dispose() => _folder.Delete(recursive: true);
}
