using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using Xunit;

namespace RefillPlanner.Core.Tests.Planning;

/// <summary>Courses brought to one hand-over day; the as-of date is Monday, March 2, 2026.</summary>
public sealed class AlignmentTests
{
    private static readonly LocalDate Monday = new(2026, 3, 2);
    private static readonly Site Site = new() { Id = "S", Name = "S", TimeZone = "America/New_York", ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday] };
    private static readonly Device Syringe = new() { Id = "D", Name = "1 mL", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };

    [Fact]
    public void The_first_need_makes_the_day_and_the_others_get_the_smallest_fill_that_reaches_the_next()
    {
        // A: 10 mL at 0.5 mL a day runs out on March 22, so Thursday, March 19 is the day; 28 days are two vials, 40 days: May 1, next on April 28.
        // B: 10 mL at 0.4 mL a day runs out on March 27; to May 1 are 35 days, 14 mL: two vials, which last 50 days.
        // C: 30 mL at 0.5 mL a day runs out on May 1: nothing.
        var proposal = Alignment.Of([Course("C", 50, fills: 3), Course("A", 50), Course("B", 40)], Policy.Default, Monday)!;
        Assert.Equal((new LocalDate(2026, 3, 19), new LocalDate(2026, 3, 19), new LocalDate(2026, 4, 28)), (proposal.NeedInHandOn, proposal.HandOverOn, proposal.NextOn));
        Assert.Equal(["A 2 2026-05-01", "B 2 2026-05-16", "C 0 2026-05-01"], proposal.Fills.Select(fill => $"{fill.CourseId} {fill.Items.Sum(item => item.Containers)} {fill.LastsUntil:uuuu-MM-dd}"));
        Assert.All(proposal.Fills, fill => Assert.True(fill.Reaches && fill.IsAllowed));
    }

    [Fact]
    public void A_fill_too_early_by_the_rule_is_shown_and_left_to_a_person()
    {
        // B was billed for 90 days on March 2: 75 % are over on May 9.
        var b = Course("B", 40);
        var proposal = Alignment.Of([Course("A", 50), b with { Facts = [b.Facts[0] with { DaysSupply = 90 }] }], Policy.Default, Monday)!;
        Assert.Equal((false, new LocalDate(2026, 5, 9)), (proposal.Fills[1].IsAllowed, proposal.Fills[1].EarliestFillOn));
    }

    [Fact]
    public void A_course_that_needs_no_refill_is_left_out_and_one_alone_is_not_aligned()
    {
        var ended = Course("B", 40);
        ended = ended with { Facts = [.. ended.Facts, new Fact { Id = "E", CourseId = "B", Kind = FactKind.Ended, On = Monday.PlusDays(5) }] };
        Assert.Null(Alignment.Of([Course("A", 50), ended], Policy.Default, Monday));
        Assert.Equal(["B"], Alignment.Of([Course("A", 50), ended, Course("C", 30)], Policy.Default, Monday)!.LeftOut);
    }

    // Handed over on the common day, walked by the literal walk: nobody runs out before it, nor with the fill before the next one is needed; with
    // one container less it would.
    [Fact]
    public void No_course_runs_out_before_the_common_day_and_each_fill_is_the_smallest()
    {
        var dice = new System.Random(20260302);
        var (aligned, smaller) = (0, 0);
        for (var time = 0; time < 600; time++)
        {
            CourseSnapshot[] courses = [.. Enumerable.Range(0, dice.Next(2, 5)).Select(number => Course(
                $"C{number}", dice.Next(5, 100), dice.Next(1, 6), everyDays: dice.Next(3) == 0 ? 7 : dice.Next(1, 4), inUseDays: dice.Next(2) == 0 ? null : dice.Next(10, 57), ml: dice.Next(2, 11), filledDaysAgo: dice.Next(0, 9)))];
            if (Alignment.Of(courses, Policy.Default, Monday) is not AlignmentProposal proposal || proposal.NeedInHandOn < Monday)
                continue; // What is late already cannot be kept from running out.
            aligned++;
            foreach (var fill in proposal.Fills)
            {
                var course = courses.First(course => course.Course.Id == fill.CourseId);
                var until = proposal.NextOn.PlusDays(Policy.Default.SafetyDays);
                var count = fill.Items.Sum(item => item.Containers);
                Assert.True(RunOut(course, 0, proposal.HandOverOn) >= proposal.NeedInHandOn.PlusDays(Policy.Default.SafetyDays));
                Assert.True(fill.Reaches);
                Assert.True(RunOut(course, count, proposal.HandOverOn) >= until, $"{fill} does not reach {until}");
                if (count == 0 || fill.LastsUntil == until)
                    continue; // The first course gets its usual fill, which makes the day.
                smaller++;
                Assert.True(RunOut(course, count - 1, proposal.HandOverOn) < until, $"{fill}: one less would do until {until}");
            }
        }

        Assert.True(aligned > 300 && smaller > 300, $"{aligned} aligned, {smaller} with a smaller fill");
    }

    private static LocalDate RunOut(CourseSnapshot course, int containers, LocalDate on)
    {
        var with = containers == 0 ? course : course with { Facts = [.. course.Facts, new Fact { Id = "F-NEXT", CourseId = course.Course.Id, Kind = FactKind.Dispensed, On = on, ProductId = "V", Containers = containers }] };
        return LiteralWalk.Of(with, Policy.Default, on).RunOutOn ?? on.PlusDays(Policy.Default.HorizonDays);
    }

    internal static CourseSnapshot Course(string id, decimal dose, int fills = 1, int everyDays = 1, int? inUseDays = null, int ml = 10, int filledDaysAgo = 0) => new()
    {
        Course = new Course { Id = id, PatientId = "P", StartedOn = Monday.PlusDays(-filledDaysAgo), DeviceId = "D" },
        Patient = new Patient { Id = "P", Name = "P", SiteId = "S" },
        Site = Site,
        Steps = [new Step { CourseId = id, Number = 1, ProductId = "V", Doses = [Amount.From(dose)], EveryDays = everyDays }],
        Products = new Dictionary<string, Product>
        {
            ["V"] = new() { Id = "V", Drug = "drug", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Units, Strength = new(Amount.From(100), Volume.FromMl(1)), Volume = Volume.FromMl(ml), InUseDays = inUseDays },
        },
        Devices = new Dictionary<string, Device> { ["D"] = Syringe },
        Facts = [new Fact { Id = "F", CourseId = id, Kind = FactKind.Dispensed, On = Monday.PlusDays(-filledDaysAgo), ProductId = "V", Containers = fills }],
    };
}
