using System;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Work;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>The refill-due list says what the last planning kept; nothing is planned for it.</summary>
public sealed class MorningWorkTests
{
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 15, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task The_list_says_of_each_course_what_its_plan_of_the_day_says()
    {
        using var bench = await BenchAsync();
        using var reading = bench.Desk.Database.Read();
        var plans = reading.Snapshots.List()
            .SelectMany(snapshot => snapshot.Courses.Zip(PlanningPipeline.Plan(snapshot.Courses, snapshot.Sharps, bench.Desk.Settings.PolicyOf(snapshot.Courses[0].Site.Id), Today).Courses))
            .ToDictionary(pair => pair.First.Course.Id, pair => CourseLine.Of(pair.First, pair.Second, []));
        var rows = reading.Ledger.ListSites().SelectMany(site => Rows(bench, site)).Where(row => row.Course.Length > 0).ToArray();
        Assert.True(rows.Length > 40);
        Assert.All(rows, row =>
        {
            Assert.Equal(plans[row.Course].Medicine, row.Medicine);
            Assert.Equal(plans[row.Course].ListFindings().Where(text => !row.Why.Contains(text, StringComparison.Ordinal)), row.Findings);
        });
    }

    [Fact]
    public async Task A_patient_whose_record_can_no_longer_be_read_is_listed_in_the_words_of_the_last_planning()
    {
        using var bench = await BenchAsync();
        bench.Damage("UPDATE steps SET doses = 'x' WHERE course_id = 'C-101'; UPDATE patients SET phone = phone WHERE patient_id = 'PT-101';");
        Assert.Equal(["PT-101"], bench.Planning.Run().Failed);
        using var reading = bench.Desk.Database.Read();
        var rows = reading.Ledger.ListSites().SelectMany(site => Rows(bench, site)).Where(row => row.Course == "C-101").ToArray();
        Assert.NotEmpty(rows);
        Assert.All(rows, row => Assert.Equal("semaglutide, 0.5 mg every 7 days", row.Medicine));
    }

    [Fact]
    public async Task Lateness_is_that_of_the_day_on_which_the_list_is_read()
    {
        using var bench = await BenchAsync();
        using var reading = bench.Desk.Database.Read();
        var site = reading.Ledger.ListSites()[0];
        var first = Rows(bench, site).First(row => row.DueOn == Today);
        bench.Time.Advance(TimeSpan.FromDays(2));
        Assert.Equal(first.LateDays + 2, Rows(bench, site).Single(row => row.Key == first.Key).LateDays);
    }

    private static MorningRow[] Rows(Bench bench, Site site)
    {
        using var reading = bench.Desk.Database.Read();
        return [.. bench.Morning.List(reading, site, bench.Desk.Now).Sections.SelectMany(section => section.Rows)];
    }

    private static async Task<Bench> BenchAsync()
    {
        var bench = new Bench(Start);
        bench.ImportDemo(Today);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        return bench;
    }
}
