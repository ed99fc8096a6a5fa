using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>Weekly days against the calendar standard: they keep their local date and hour, also when the clocks change.</summary>
public sealed class WeeklyDaysTests
{
    private static readonly DateTimeZone NewYork = DateTimeZoneProviders.Tzdb["America/New_York"];

    // Source (R): RFC 5545, section 3.8.5.3: weekly for 10 occurrences from September 2, 1997, 09:00 in New York: September 2, 9, 16, 23, 30, October 7,
    // 14, 21, 28, November 4, the first eight in EDT and the last two in EST, always at 09:00.
    [Fact]
    public void Ten_weekly_doses_from_September_2_1997_are_those_of_the_calendar_standard()
    {
        var days = Days(new LocalDate(1997, 9, 2), doses: 10);
        Assert.Equal(
            [(9, 2), (9, 9), (9, 16), (9, 23), (9, 30), (10, 7), (10, 14), (10, 21), (10, 28), (11, 4)],
            days.Select(day => (day.Month, day.Day)));
        Assert.Equal([.. Enumerable.Repeat(-4, 8), .. Enumerable.Repeat(-5, 2)], days.Select(day => Nine(day).Offset.Seconds / 3600));
    }

    // Source (R): tz database: in the United States the clocks change on March 8 and November 1, 2026.
    [Theory]
    [InlineData(2026, 2, 22)] // a Sunday: March 8 itself is a dosing day
    [InlineData(2026, 10, 18)] // so is November 1
    [InlineData(2026, 3, 2)]
    [InlineData(2026, 10, 28)]
    public void Over_the_clock_changes_of_2026_a_weekly_dose_stays_on_its_weekday_and_its_hour(int year, int month, int day)
    {
        var first = new LocalDate(year, month, day);
        var days = Days(first, doses: 6);
        Assert.Equal(Enumerable.Range(0, 6).Select(first.PlusWeeks), days);
        Assert.All(days, on => Assert.Equal(on + new LocalTime(9, 0), Nine(on).LocalDateTime));
        Assert.Equal(2, days.Select(on => Nine(on).Offset).Distinct().Count());
    }

    // The hour at which a patient is written to on a date: window_from, 09:00.
    private static ZonedDateTime Nine(LocalDate on)
    {
        var course = Course(on, 1);
        return new WorkHours(course.Site, course.Patient, Policy.Default, on).PatientHour(on).InZone(NewYork);
    }

    private static LocalDate[] Days(LocalDate first, int doses)
    {
        var course = Course(first, doses);
        var resolved = DosingDays.Resolve(course, [], first, DayNumber.Of(first) + 400);
        return [.. resolved.Stretches.SelectMany(stretch => Enumerable.Range(0, stretch.Count).Select(count => DayNumber.Date(stretch.FirstDay + count * stretch.EveryDays)))];
    }

    private static CourseSnapshot Course(LocalDate first, int doses) => new()
    {
        Course = new Course { Id = "C", PatientId = "P", StartedOn = first, DeviceId = null },
        Patient = new Patient { Id = "P", Name = "P", SiteId = "S" },
        Site = new Site { Id = "S", Name = "S", TimeZone = "America/New_York" },
        Steps = [new Step { CourseId = "C", Number = 1, ProductId = "F", Doses = [Amount.From(1)], EveryDays = 7, DoseDays = doses }],
        Products = new Dictionary<string, Product> { ["F"] = new() { Id = "F", Drug = "a drug", Kind = ProductKind.PrefilledSyringe, Unit = DoseUnit.Mg, DoseAmount = Amount.From(1) } },
        Devices = new Dictionary<string, Device>(),
        Facts = [],
    };
}
