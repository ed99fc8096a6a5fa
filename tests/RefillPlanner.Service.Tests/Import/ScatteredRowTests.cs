using System;
using System.IO;
using System.Linq;
using NodaTime;
using RefillPlanner.Service.Import;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

/// <summary>Rows are read one by one and written as they are judged: where they stand, and what stands between them, changes nothing.</summary>
public sealed class ScatteredRowTests
{
    private static readonly Instant Now = Instant.FromUtc(2026, 3, 2, 8, 0);

    [Fact]
    public void Steps_of_a_ladder_may_stand_anywhere_in_any_order()
    {
        var judged = new TestRoster()
            .Without("steps.csv", "C-1,1")
            .With("course", "course_id=A-9").With("step", "course_id=A-9|ladder=")
            .WithLine("steps.csv", "C-1,1,V-1,0.25,7,,4,,,")
            .Judge();

        Assert.Empty(judged.Refusals);
        Assert.Equal([("A-9", 1), ("C-1", 1), ("C-1", 2), ("C-2", 1), ("C-3", 1)], judged.Steps.Select(step => (step.CourseId, step.Number)));
    }

    [Theory]
    [InlineData("missed", "missed", "on=2026-03-03")]
    [InlineData("missed", "counted", "fact_id=X-8")]
    [InlineData("counted", "missed", "fact_id=X-4")]
    [InlineData("counted", "counted", "containers=2")]
    [InlineData("void", "missed", "fact_id=X-16")]
    [InlineData("received", "missed", "fact_id=X-3")]
    public void Of_two_facts_with_one_id_the_first_goes_in_and_its_line_is_told(string first, string second, string change)
    {
        var roster = new TestRoster().With(first).With("missed", id: "X-99").With(second, change);

        var judged = roster.Judge();

        var refusal = Assert.Single(judged.Refusals);
        Assert.Equal((7, "fact_id", "the id stands in line 5 with other content"), (refusal.Line, refusal.Column, refusal.Reason));
        Assert.Equal(5, judged.Facts.Count);
    }

    [Theory]
    [InlineData("missed")]
    [InlineData("counted")]
    [InlineData("void")]
    [InlineData("received")]
    public void A_fact_that_stands_there_twice_counts_once(string template)
    {
        var judged = new TestRoster().With(template).With(template).Judge();

        Assert.Empty(judged.Refusals);
        Assert.Equal((4, 1), judged.Counts.Where(count => count.File == "facts.csv").Select(count => (count.New, count.Same)).Single());
    }

    [Fact]
    public void Facts_of_more_courses_than_are_remembered_at_a_time_are_judged_alike()
    {
        var roster = new TestRoster();
        for (var i = 0; i < 10_005; i++)
            roster.With("course", $"course_id=N-{i}").With("step", $"course_id=N-{i}|ladder=");
        for (var i = 0; i < 20_010; i++)
            roster.With("missed", $"course_id=N-{i % 10_005}", $"Y-{i}");
        roster.With("opened", "course_id=N-3|product_id=PEN-1").With("opened", "course_id=N-4");

        var judged = roster.Judge();

        Assert.Equal("no step of N-3 calls for PEN-1", Assert.Single(judged.Refusals).Reason);
        Assert.Equal(3 + 20_010 + 1, judged.Facts.Count);
    }

    [Fact]
    public void Counts_and_voids_of_more_courses_than_are_remembered_at_a_time_are_judged_alike()
    {
        var roster = new TestRoster();
        for (var i = 0; i < 10_005; i++)
            roster.With("course", $"course_id=N-{i}").With("step", $"course_id=N-{i}|ladder=");
        for (var i = 0; i < 20_010; i++)
            roster.With("counted", $"course_id=N-{i % 10_005}", $"Y-{i}");
        for (var i = 0; i < 10_004; i++)
            roster.With("void", $"course_id=N-{i}|note=Y-{i}", $"Z-{i}");
        roster.With("void", "course_id=N-3|note=Y-3", "Z-X");

        var judged = roster.Judge();

        Assert.Equal(["Y-10004 counts V-1 on this day already: void it first", "Y-3 is voided already"], judged.Refusals.Select(refusal => refusal.Reason));
    }

    [Fact]
    public void A_row_that_begins_with_a_byte_order_mark_keeps_it_at_its_second_look()
    {
        var judged = new TestRoster().WithLine("steps.csv", "\uFEFFC-1,1,V-1,0.5,7,2,,,,").Judge();

        Assert.Equal(("\uFEFFC-1", "no course \uFEFFC-1 is on record or in this roster"), (judged.Refusals.Single().Value, judged.Refusals.Single().Reason));
    }

    [Fact]
    public void A_dry_run_tells_the_same_and_writes_nothing()
    {
        using var folder = new TestFolder();
        using var database = PlannerDatabase.Open(folder.In("planner.db"), Now);
        var roster = new TestRoster().With("missed", "kind=lost").Write(folder, "roster");

        var dry = RosterImport.Run(database, RosterFolder.Open(roster), Now, "test", isDryRun: true, folder.In("refused"));
        using (var reading = database.Read())
            Assert.Empty(reading.Ledger.ListSites());
        Assert.False(Directory.Exists(folder.In("refused")));
        var done = RosterImport.Run(database, RosterFolder.Open(roster), Now, "test", isDryRun: false, folder.In("refused"));

        Assert.Equal(done.Counts, dry.Counts);
        Assert.Equal(done.Refusals, dry.Refusals);
        Assert.Equal((1, 1), (done.RefusalCount, dry.RefusalCount));
    }

    [Fact]
    public void When_the_refused_rows_cannot_be_written_nothing_is_imported()
    {
        using var folder = new TestFolder();
        using var database = PlannerDatabase.Open(folder.In("planner.db"), Now);
        var roster = new TestRoster().With("missed", "kind=lost").Write(folder, "roster");
        Directory.CreateDirectory(folder.In("refused"));
        File.WriteAllText(folder.In("refused/facts.csv"), "somebody is mending it");

        Assert.Throws<IOException>(() => RosterImport.Run(database, RosterFolder.Open(roster), Now, "test", isDryRun: false, folder.In("refused")));

        using var reading = database.Read();
        Assert.Empty(reading.Ledger.ListSites());
        Assert.Equal("somebody is mending it", File.ReadAllText(folder.In("refused/facts.csv")));
    }
}
