using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Commands;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Tests.Work;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Storage;

/// <summary>What the commands and the work do about a record that is damaged: it is named, and the rest goes on.</summary>
public sealed class DamagedRecordTests : IDisposable
{
    private const string OneStep = "UPDATE steps SET doses = '5000000000' WHERE course_id = 'C-101' AND step = 1;";
    private static readonly DateTimeOffset Morning = new(2026, 3, 2, 15, 0, 0, TimeSpan.Zero);
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-damage-");

    private string State => Path.Combine(_folder.FullName, "state");

    [Fact]
    public async Task S2_Project_leaves_out_the_damaged_patient_names_it_and_prints_the_others()
    {
        await Answer.OfAsync("demo", "--today", Told.Day, "--data", State);
        var before = await Answer.OfAsync("project", "--as-of", Told.Day, "--data", State);
        await DamageAsync(OneStep);
        var after = await Answer.OfAsync("project", "--as-of", Told.Day, "--data", State);
        Assert.Equal(ExitCode.Refused, after.Code);
        Assert.StartsWith("Patient PT-101 is not computed: The record of C-101 in steps is damaged on disk", after.Errors, StringComparison.Ordinal);
        Assert.Single(after.Errors.Split('\n', StringSplitOptions.RemoveEmptyEntries));
        Assert.Equal(before.Output.Split('\n').Where(line => !line.StartsWith("C-101 ", StringComparison.Ordinal)), after.Output.Split('\n'));
        var explained = await Answer.OfAsync("explain", "C-101", "--data", State);
        Assert.Equal((ExitCode.Away, string.Empty), (explained.Code, explained.Output));
        Assert.Equal(ExitCode.Done, (await Answer.OfAsync("explain", "C-102", "--data", State)).Code);
    }

    [Fact]
    public void S2_A_patient_who_cannot_be_planned_is_on_the_list_until_it_is_planned()
    {
        using var bench = new Bench(Morning);
        bench.ImportDemo(new(2026, 3, 2));
        bench.Planning.Run();
        bench.Damage("UPDATE steps SET every_days = every_days + 1 WHERE course_id = 'C-101' AND step = 1; UPDATE patients SET phone = phone WHERE patient_id = 'PT-101';");
        Assert.Equal(["PT-101"], bench.Planning.Run().Failed);
        var row = Assert.Single(NotComputed(bench), row => row.Key == "PT-101");
        Assert.Contains("C-101 in steps is damaged on disk", row.Why, StringComparison.Ordinal);
        Assert.Equal("Alder Fictus", row.Patient);
        bench.Damage("UPDATE steps SET every_days = every_days - 1 WHERE course_id = 'C-101' AND step = 1;");
        Assert.Empty(bench.Planning.Run().Failed);
        Assert.DoesNotContain(NotComputed(bench), row => row.Key == "PT-101");
    }

    [Fact]
    public void S2_While_a_product_is_damaged_nothing_is_planned_and_the_list_says_so_and_shows_the_rest()
    {
        using var bench = new Bench(Morning);
        bench.ImportDemo(new(2026, 3, 2));
        bench.Planning.Run();
        var before = Lists(bench).Sum(list => list.Count);
        bench.Damage("UPDATE products SET volume = volume * 10 WHERE product_id = 'P-SEMA';");
        Assert.Equal([string.Empty], bench.Planning.Run().Failed);
        Assert.Equal(before + Lists(bench).Count, Lists(bench).Sum(list => list.Count));
        Assert.Contains("P-SEMA in products is damaged on disk", Assert.Single(Lists(bench)[0].Sections[0].Rows, row => row.Key == "planning").Why, StringComparison.Ordinal);
    }

    [Fact]
    public void S2_An_import_refuses_what_is_about_a_damaged_record_takes_the_rest_and_mends_what_it_brings_anew()
    {
        using var bench = new Bench(Morning);
        bench.ImportDemo(new(2026, 3, 2));
        bench.Damage(OneStep + "UPDATE patients SET phone = '1' WHERE patient_id = 'PT-102'; UPDATE prescriptions SET refills_authorized = 99;");
        var facts = bench.Import("fact_id,course_id,kind,on,note\r\nF-1,C-101,answered,2026-03-02,later\r\nF-2,C-102,answered,2026-03-02,later\r\n");
        var refusal = Assert.Single(facts.Refusals);
        Assert.Contains("C-101 in steps is damaged on disk", refusal.Reason, StringComparison.Ordinal);
        var again = bench.ImportDemo(new(2026, 3, 2));
        Assert.Contains(again.Refusals, refused => refused.File == "patients.csv" && refused.Reason.Contains("PT-102 in patients is damaged on disk", StringComparison.Ordinal));
        Assert.True(again.Counts.Single(count => count.File == "prescriptions.csv").Updated > 0, "made anew");
        using var reading = bench.Desk.Database.Read();
        Assert.NotNull(reading.Snapshots.Find("PT-103"));
        Assert.Throws<DamagedRowException>(() => reading.Snapshots.Find("PT-102"));
    }

    [Fact]
    public async Task S1_When_the_disk_is_full_no_mail_goes_whose_intent_is_not_on_disk_and_the_list_can_be_read()
    {
        using var bench = new Bench(Morning);
        bench.ImportDemo(new(2026, 3, 2));
        bench.Planning.Run();
        using (var transaction = bench.Desk.Database.Begin())
            transaction.Connection.Execute("PRAGMA max_page_count = 1;");
        await Assert.ThrowsAsync<SqliteException>(async () =>
        {
            for (var day = 0; day < 400; day++)
            {
                await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
                bench.Time.Advance(TimeSpan.FromDays(1));
            }
        });
        using var reading = bench.Desk.Database.Read();
        foreach (var letter in bench.Route.Letters)
            Assert.True(reading.Outbox.FindByMessageIdStart(letter.MessageId!.Split('@')[0])!.Attempts > 0, letter.MessageId);
        Assert.NotEmpty(Lists(bench)[0].Sections);
        Assert.Empty(bench.Desk.Database.FindDamage().Complaints);
    }

    [Fact]
    public async Task A_file_that_is_no_database_ends_with_what_to_do()
    {
        Directory.CreateDirectory(State);
        await File.WriteAllTextAsync(Path.Combine(State, "refill-planner.db"), new string('x', 5000), TestContext.Current.CancellationToken);
        foreach (var command in new[] { "due", "project" })
        {
            var answer = await Answer.OfAsync(command, "--data", State);
            Assert.Equal(ExitCode.Away, answer.Code);
            Assert.Contains("put a backup in its place", answer.Errors, StringComparison.Ordinal);
        }
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private static List<MorningList> Lists(Bench bench)
    {
        using var reading = bench.Desk.Database.Read();
        return [.. reading.Ledger.ListSites().Select(site => bench.Morning.List(reading, site, bench.Desk.Now))];
    }

    private static IEnumerable<MorningRow> NotComputed(Bench bench) => Lists(bench).SelectMany(list => list.Sections[0].Rows);

    private async Task DamageAsync(string sql)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(State, "refill-planner.db")};Pooling=False");
        connection.Open();
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }
}
