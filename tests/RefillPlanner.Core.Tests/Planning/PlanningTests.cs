using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Planning;

/// <summary>Rulings on the planning rules, each worked by hand; the calendar is that of 2026, Monday, March 2 being the as-of date.</summary>
public sealed class PlanningTests
{
    private static readonly LocalDate Monday = new(2026, 3, 2);
    private static readonly Site Site = new() { Id = "S", Name = "S", TimeZone = "America/New_York", ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday] };

    // 10 mL, 100 units/mL, no in-use limit: 50 units (0.5 mL) a day is 20 days from a vial.
    private static readonly Product Vial = new() { Id = "V", Drug = "insulin NPH", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Units, Strength = new(Amount.From(100), Volume.FromMl(1)), Volume = Volume.FromMl(10), PrepareOpenDays = 1 };
    private static readonly Device Syringe = new() { Id = "D", Name = "1 mL", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };

    [Theory]
    [InlineData("2026-03-08", 0, "2026-03-06")] // Sunday minus 0: the open day before
    [InlineData("2026-03-08", 1, "2026-03-06")]
    [InlineData("2026-03-08", 2, "2026-03-05")]
    [InlineData("2026-03-09", 0, "2026-03-09")]
    [InlineData("2026-03-09", 1, "2026-03-06")]
    public void Stepping_back_counts_open_days_only(string date, int days, string expected) =>
        Assert.Equal(Date(expected), new OpenDays(Site).Minus(Date(date), days));

    [Fact]
    public void A_refill_is_stepped_back_from_the_run_out()
    {
        // Filled March 2, 20 days: run-out Sunday March 22; 3 safety days: Thursday 19; pickup 19; 1 open day: 18; 3 open days: Friday 13.
        var refill = Plan(Course(Fill(1))).Refill!;
        Assert.Equal(Date("2026-03-22"), refill.ServesOn);
        Assert.Equal(("2026-03-19", "2026-03-19", "2026-03-18", "2026-03-13"), (Iso(refill.NeedInHandOn), Iso(refill.ReadyOn), Iso(refill.PrepareOn), Iso(refill.ContactOn)));
        Assert.Equal(0, refill.LateDays);
    }

    [Fact]
    public void The_smallest_number_of_containers_that_covers_the_fill_is_dispensed()
    {
        // 28 days at 0.5 mL are 14 mL: two vials, which last 40 days.
        var refill = Plan(Course(Fill(1))).Refill!;
        Assert.Equal([new RefillItem("V", 1, 2)], refill.Items);
        Assert.Equal(40, refill.DaysSupply);
        Assert.Contains(new RefillSupply(RefillSupplyKind.Syringe, "D", 28), refill.Supplies);
    }

    [Fact]
    public void A_count_of_nothing_on_the_day_of_the_run_out_leaves_the_planned_containers_in_the_plan()
    {
        // Two vials on record, none found on March 2: run-out that day. What is planned comes after what was seen: 28 days are two vials.
        var seen = new Fact { Id = "G", CourseId = "C", Kind = FactKind.Counted, On = Monday, ProductId = "V", Containers = 0 };
        var plan = Plan(Course(Fill(2) with { On = Date("2026-02-27") }, seen));
        Assert.Equal(Monday, plan.Supply.RunOutOn);
        Assert.Equal([new RefillItem("V", 1, 2)], plan.Refill!.Items);
        Assert.Equal(40, plan.Refill.DaysSupply);
        Assert.DoesNotContain(plan.Findings, finding => finding.Code == FindingCode.BeyondUseShortensFill);
    }

    [Fact]
    public void A_day_missed_twice_on_record_is_missed_once_for_the_sharps()
    {
        // 40 sharps, fill line 30, one a day from March 2, which was missed: the 30th on April 1, a day later than without.
        var container = new SharpsContainer { Id = "SH", PatientId = "P", Capacity = 40, IssuedOn = Monday };
        Fact Missed(string id) => new() { Id = id, CourseId = "C", Kind = FactKind.Missed, On = Monday };
        var forecast = PlanningPipeline.Plan([Course(Fill(4), Missed("M1"), Missed("M2"))], [container], Policy.Default, Monday).Sharps.Single();
        Assert.Equal("2026-04-01", Iso(forecast.FillLineOn!.Value));
    }

    [Fact]
    public void A_dose_over_two_containers_gets_both()
    {
        // 1 mL vials at 10 mg/mL, 12 mg weekly on a 1 mL barrel: 0.6 mL twice, each from a vial of its own; four doses in 28 days: 8 vials.
        var small = Vial with { Id = "V1", Unit = DoseUnit.Mg, Strength = new(Amount.From(10), Volume.FromMl(1)), Volume = Volume.FromMl(1), PrepareOpenDays = 0 };
        var barrel = Syringe with { MarkedIn = BarrelMarking.Ml, UnitsPerMl = null };
        var course = Course() with
        {
            Steps = [Step(1, "V1", 12) with { EveryDays = 7 }],
            Products = new Dictionary<string, Product> { ["V1"] = small },
            Devices = new Dictionary<string, Device> { ["D"] = barrel },
        };
        var plan = Plan(course);
        Assert.Equal([new RefillItem("V1", 1, 8)], plan.Refill!.Items);
        Assert.DoesNotContain(plan.Findings, finding => finding.Code == FindingCode.BeyondUseShortensFill);
    }

    [Fact]
    public void Of_several_sizes_the_least_thrown_away_wins()
    {
        // 14 days in use, 0.5 mL a day: a 10 mL vial gives 7 mL and 3 mL are thrown away; five of 3 mL are used up, six days each.
        var ten = Vial with { InUseDays = 14 };
        var three = ten with { Id = "V3", Volume = Volume.FromMl(3), SizeOf = "V" };
        var course = Course() with { Products = new Dictionary<string, Product> { ["V"] = ten, ["V3"] = three } };
        Assert.Equal([new RefillItem("V3", 1, 5)], Plan(course).Refill!.Items);
    }

    [Fact]
    public void A_cold_parcel_goes_on_a_ship_weekday_with_only_open_days_on_the_way()
    {
        // Needed in hand Thursday March 19, two days on the way: Tuesday 17 at the latest.
        var cold = Vial with { Cold = true };
        var course = Course(Fill(1)) with { Products = new Dictionary<string, Product> { ["V"] = cold }, Patient = new Patient { Id = "P", Name = "P", SiteId = "S", Handover = Handover.Ship } };
        Assert.Equal("2026-03-17", Iso(Plan(course).Refill!.ReadyOn));
        var closed = course with { Site = Site with { CarrierClosedOn = [Date("2026-03-18")] } };
        Assert.Equal("2026-03-11", Iso(Plan(closed).Refill!.ReadyOn)); // 16 to 18 crosses the carrier's closed day; Monday 16 does as well
    }

    [Fact]
    public void An_unapproved_strength_is_not_in_the_fill()
    {
        // Step 3 calls for another product on March 16 and nobody has signed; the fill ends the day before it, and the old strength bridges a week.
        var strong = Vial with { Id = "W", Strength = new(Amount.From(200), Volume.FromMl(1)) };
        var course = Course(Fill(0.1m)) with
        {
            Steps = [Step(1, "V", 50) with { DoseDays = 7 }, Step(2, "V", 60) with { DoseDays = 7 }, Step(3, "W", 100)],
            Products = new Dictionary<string, Product> { ["V"] = Vial with { Volume = Volume.FromMl(3) }, ["W"] = strong },
            Devices = new Dictionary<string, Device> { ["D"] = Syringe with { MarkedIn = BarrelMarking.Ml, UnitsPerMl = null } },
        };
        var plan = Plan(course);
        Assert.DoesNotContain(plan.Refill!.Items, item => item.ProductId == "W");
        Assert.Equal([2, 3], plan.StepUps.Select(check => check.Step));
    }

    [Fact]
    public void Sharps_reach_the_fill_line_at_three_quarters()
    {
        // 40 sharps, fill line 30, one a day from March 2: the 30th on March 31; notice a week before; back within two weeks.
        var container = new SharpsContainer { Id = "SH", PatientId = "P", Capacity = 40, IssuedOn = Monday };
        var forecast = PlanningPipeline.Plan([Course(Fill(1))], [container], Policy.Default, Monday.PlusDays(3)).Sharps.Single();
        Assert.Equal((3, "2026-03-31", "2026-03-24", "2026-04-14", SharpsState.Issued), (forecast.Used, Iso(forecast.FillLineOn!.Value), Iso(forecast.NoticeOn!.Value), Iso(forecast.ReturnByOn!.Value), forecast.State));
    }

    [Fact]
    public void A_need_that_returns_is_planned_again_but_not_one_that_a_person_has_done()
    {
        var task = new PlannedTask { Key = new TaskKey("prepare/C/x"), Kind = TaskKind.Prepare, SiteId = "S", PatientId = "P", CourseId = "C", PlannedOn = Monday, DueOn = Monday, DueAt = Instant.FromUtc(2026, 3, 2, 12, 30), Reason = "why" };
        TaskOnRecord Record(TaskState state, string by) => new() { Task = task, State = state, ChangedAt = Instant.FromUtc(2026, 3, 1, 12, 0), ChangedBy = by, Version = 2 };
        Assert.True(Assert.Single(TaskChange.List([task], [Record(TaskState.Withdrawn, TaskLife.Planner)], _ => false)).IsAgain);
        Assert.Empty(TaskChange.List([task], [Record(TaskState.Done, "Awl")], _ => false));
        Assert.Empty(TaskChange.List([task], [Record(TaskState.Due, TaskLife.Planner)], _ => false));
    }

    [Fact]
    public void Every_planned_date_is_open_and_not_after_the_date_that_it_serves()
    {
        for (var days = 0; days < 60; days++)
        {
            foreach (var handover in new[] { Handover.Pickup, Handover.Ship })
            {
                var course = Course(Fill(1)) with { Patient = new Patient { Id = "P", Name = "P", SiteId = "S", Handover = handover } };
                var refill = PlanningPipeline.Plan([course], [], Policy.Default with { SafetyDays = days % 7, FillDays = 1 + days }, Monday).Courses.Single().Refill!;
                LocalDate[] dates = [refill.RenewOn ?? refill.ContactOn, refill.ContactOn, refill.PrepareOn, refill.ReadyOn, refill.NeedInHandOn, refill.ServesOn];
                Assert.Equal(dates.Order(), dates);
                Assert.All(dates.Take(4), date => Assert.True(new OpenDays(Site).IsOpen(date)));
            }
        }
    }

    [Fact]
    public void Nothing_is_asked_about_a_step_held_back_in_a_ladder_that_another_one_has_replaced()
    {
        // Step 2 of the first ladder is held without an end. From March 2 on a second ladder of one step is in force.
        var held = new Fact { Id = "H", CourseId = "C", Kind = FactKind.Held, On = Date("2026-02-20"), Step = 2 };
        var restarted = new Fact { Id = "L", CourseId = "C", Kind = FactKind.LadderStarted, On = Monday, Step = 2 };
        var course = Course(Fill(1), held) with
        {
            Course = new Course { Id = "C", PatientId = "P", StartedOn = Date("2026-02-01"), DeviceId = "D" },
            Steps = [Step(1, "V", 50) with { DoseDays = 25 }, Step(2, "V", 60) with { NeedsCheck = true }, Step(1, "V", 40) with { Ladder = 2 }],
        };
        Assert.Equal((1, 2), (Plan(course).HeldBack!.Ladder, Plan(course).HeldBack!.Step));
        var plan = Plan(course with { Facts = [.. course.Facts, restarted] });
        Assert.Equal(2, plan.Supply.Ladder);
        Assert.Null(plan.HeldBack);
        Assert.Empty(plan.StepUps);
    }

    private static CoursePlan Plan(CourseSnapshot course) => PlanningPipeline.Plan([course], [], Policy.Default, Monday).Courses.Single();

    private static Fact Fill(decimal vials) => new() { Id = "F", CourseId = "C", Kind = FactKind.Dispensed, On = Monday, ProductId = "V", Containers = vials < 1 ? 1 : (int)vials };

    private static Step Step(int number, string product, decimal dose) => new() { CourseId = "C", Number = number, ProductId = product, Doses = [Amount.From(dose)], EveryDays = 1 };

    private static CourseSnapshot Course(params Fact[] facts) => new()
    {
        Course = new Course { Id = "C", PatientId = "P", StartedOn = Monday, DeviceId = "D" },
        Patient = new Patient { Id = "P", Name = "P", SiteId = "S" },
        Site = Site,
        Steps = [Step(1, "V", 50)],
        Products = new Dictionary<string, Product> { ["V"] = Vial },
        Devices = new Dictionary<string, Device> { ["D"] = Syringe },
        Facts = facts,
    };

    private static LocalDate Date(string iso) => NodaTime.Text.LocalDatePattern.Iso.Parse(iso).Value;

    private static string Iso(LocalDate date) => NodaTime.Text.LocalDatePattern.Iso.Format(date);
}
