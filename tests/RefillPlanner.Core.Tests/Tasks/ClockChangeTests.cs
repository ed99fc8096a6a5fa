using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using NodaTime.TimeZones;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Tasks;

/// <summary>Days on which the clocks change, leap days, and ends of months and years.</summary>
public sealed class ClockChangeTests
{
    private static readonly LocalTime Earliest = new(4, 0);
    private static readonly Policy Edges = Policy.Default with { ListAt = Earliest, WindowFrom = Earliest, WindowTo = new LocalTime(23, 0) };

    [Fact]
    public void T2_In_no_zone_anything_is_set_between_midnight_and_four_or_for_another_date()
    {
        var looked = 0;
        foreach (var (zone, change) in Changes())
        {
            var hours = Hours(zone, Edges, change);
            for (var day = change.PlusDays(-1); day <= change.PlusDays(1); day = day.PlusDays(1))
            {
                foreach (var at in new[] { hours.StaffHour(day), hours.PatientHour(day) })
                    Assert.Equal(day + Earliest, at.InZone(zone).LocalDateTime);
                looked++;
            }
        }

        // Every zone of the database with a change of the clock in these years: 2 changes a year in the United States alone.
        Assert.True(looked > 5_000, $"{looked} days");
    }

    [Fact]
    public void T2_At_any_half_hour_of_such_a_day_the_next_hour_for_a_patient_lies_in_the_window_and_is_the_nearest()
    {
        foreach (var (zone, change) in Changes().Where(pair => pair.Zone.Id.StartsWith("America/", StringComparison.Ordinal) && pair.On.Year == 2026))
        {
            var hours = Hours(zone, Policy.Default, change);
            var begin = zone.AtStartOfDay(change.PlusDays(-1)).ToInstant();
            for (var from = begin; from < begin + Duration.FromDays(3); from += Duration.FromMinutes(30))
            {
                var next = hours.NextPatientHour(from);
                var local = next.InZone(zone);
                Assert.True(next >= from && next - from <= Duration.FromHours(15));
                Assert.True(local.TimeOfDay >= Policy.Default.WindowFrom && local.TimeOfDay < Policy.Default.WindowTo, $"{zone.Id} {local}");
            }
        }
    }

    [Fact]
    public void T2_The_alarm_of_each_local_date_comes_once_though_an_hour_is_missing_or_comes_twice()
    {
        // America/New_York: 02:30 is missing on 2026-03-08, and 01:30 comes twice on 2026-11-01.
        var zone = DateTimeZoneProviders.Tzdb["America/New_York"];
        foreach (var change in new[] { new LocalDate(2026, 3, 8), new LocalDate(2026, 11, 1) })
        {
            var hours = Hours(zone, Policy.Default, change);
            var instants = Enumerable.Range(-3, 7).Select(days => hours.StaffHour(change.PlusDays(days))).ToArray();
            Assert.Equal(instants.Length, instants.Select(at => at.InZone(zone).Date).Distinct().Count());
            Assert.All(instants.Zip(instants.Skip(1)), pair => Assert.InRange((pair.Second - pair.First).TotalHours, 23, 25));
        }
    }

    [Theory]
    [InlineData("2028-02-28", 1, "2028-02-29")] // 2028 is a leap year (divisible by 4, not by 100)
    [InlineData("2028-02-29", 1, "2028-03-01")]
    [InlineData("2027-02-26", 1, "2027-03-01")] // a Friday
    [InlineData("2026-12-31", 1, "2027-01-04")] // Friday, January 1 is a closed day, and a weekend follows
    [InlineData("2026-01-30", 1, "2026-02-02")]
    public void T4_Open_days_go_over_leap_days_and_ends_of_months_and_years(string date, int days, string expected)
    {
        var openDays = new OpenDays(Site("America/New_York"));
        Assert.Equal(Date(expected), openDays.Plus(Date(date), days));
        Assert.Equal(Date(date), openDays.Minus(Date(expected), days));
    }

    [Theory]
    [InlineData("2027-01-03", 0, "2026-12-31")] // the weekend, New Year's Day: back into the old year
    [InlineData("2027-01-01", 0, "2026-12-31")]
    [InlineData("2027-01-04", 1, "2026-12-31")]
    [InlineData("2026-12-25", 0, "2026-12-24")]
    public void T5_Work_before_closed_days_moves_earlier(string date, int days, string expected) =>
        Assert.Equal(Date(expected), new OpenDays(Site("America/New_York")).Minus(Date(date), days));

    [Fact]
    public void T5_Whatever_days_are_closed_stepping_back_never_lands_later_or_on_a_closed_day()
    {
        var openDays = new OpenDays(Site("America/New_York"));
        for (var date = new LocalDate(2026, 12, 1); date < new LocalDate(2027, 3, 1); date = date.PlusDays(1))
        {
            for (var days = 0; days < 6; days++)
            {
                var back = openDays.Minus(date, days);
                Assert.True(back <= date && openDays.IsOpen(back), $"{date} minus {days} is {back}");
            }
        }
    }

    // Every change of the clocks of every zone in ten years, by its local date.
    private static IEnumerable<(DateTimeZone Zone, LocalDate On)> Changes()
    {
        var (first, last) = (Instant.FromUtc(2025, 1, 1, 0, 0), Instant.FromUtc(2035, 1, 1, 0, 0));
        return from id in DateTimeZoneProviders.Tzdb.Ids
               let zone = DateTimeZoneProviders.Tzdb[id]
               from interval in zone.GetZoneIntervals(first, last)
               where interval.HasStart && interval.Start > first
               select (zone, interval.IsoLocalStart.Date);
    }

    private static WorkHours Hours(DateTimeZone zone, Policy policy, LocalDate today) =>
        new(Site(zone.Id), new Patient { Id = "P", Name = "P", SiteId = "S" }, policy, today);

    private static Site Site(string zone) => new()
    {
        Id = "S",
        Name = "S",
        TimeZone = zone,
        ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday],
        ClosedOn = [new LocalDate(2026, 12, 25), new LocalDate(2027, 1, 1)],
    };

    private static LocalDate Date(string text) => NodaTime.Text.LocalDatePattern.Iso.Parse(text).GetValueOrThrow();
}
