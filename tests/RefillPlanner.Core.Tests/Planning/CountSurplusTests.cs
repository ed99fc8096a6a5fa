using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Planning;

/// <summary>
/// Doses that were perhaps not given, by a count. Weekly from Monday, January 5, 2026, 0.25 mg from a vial of 10 mL, 1 mg/mL, nothing lost: by Monday,
/// February 2, four doses are given, and 9 mL should be left.
/// </summary>
public sealed class CountSurplusTests
{
    private static readonly LocalDate Start = new(2026, 1, 5);
    private static readonly LocalDate CountedOn = new(2026, 2, 2);
    private static readonly Site Site = new() { Id = "S", Name = "S", TimeZone = "America/New_York", ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday] };
    private static readonly Patient Patient = new() { Id = "P", Name = "P", SiteId = "S" };
    private static readonly Product Vial = new() { Id = "V", Drug = "semaglutide", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Mg, Strength = new(Amount.From(1), Volume.FromMl(1)), Volume = Volume.FromMl(10) };

    [Theory]
    [InlineData("9", 0)]
    [InlineData("9.49", 0)] // less than two doses
    [InlineData("9.5", 2)]
    [InlineData("9.8", 3)] // 0.8 mL are three doses and a bit
    [InlineData("10", 4)] // as many as were due
    [InlineData("8.5", 0)] // less than on record: nothing is asked about doses
    public void Two_doses_more_than_on_record_are_asked_about_and_one_is_not(string left, int doses) =>
        Assert.Equal(doses, Plan(Count(0, left)).Surpluses.SingleOrDefault()?.Doses ?? 0);

    [Fact]
    public void The_question_has_its_working_and_is_a_question()
    {
        var surplus = Assert.Single(Plan(Count(0, "9.8")).Surpluses);
        Assert.Equal("The count of Monday, February 2, 2026 (N) found 9.8 mL of V; by the record it should be 9 mL. That is 0.8 mL more. A dose takes 0.25 mL: about 3 doses may not have been given. There may be another reason: ask the patient.", surplus.Text);
    }

    [Fact]
    public void The_arithmetic_and_the_findings_are_as_without_the_question()
    {
        var plan = Plan(Count(0, "9.8"));
        Assert.Empty(plan.Supply.Findings);
        Assert.Null(plan.MissedFrom);
        Assert.Equal(39, plan.Supply.DosesCovered); // 9.8 mL at 0.25 mL
    }

    [Fact]
    public void It_is_a_task_of_the_pharmacist_until_the_days_are_recorded()
    {
        var check = Assert.Single(Tasks(Count(0, "9.8")), task => task.Kind == TaskKind.MissedDoseCheck);
        Assert.Equal(("missed-dose-check/C/count N", CountedOn), (check.Key.Text, check.DueOn));
        Assert.EndsWith("Record the days not given (missed), or tick this off.", check.Reason, StringComparison.Ordinal);

        // Recorded as not given they took nothing: 9.5 mL should be left, and 0.3 mL more is one dose and a bit.
        Assert.DoesNotContain(Tasks(Count(0, "9.8"), Missed("2026-01-12"), Missed("2026-01-26")), task => task.Kind == TaskKind.MissedDoseCheck);
    }

    [Fact]
    public void More_than_was_given_since_the_count_before_is_no_question_of_doses()
    {
        Assert.Empty(Plan(Count(1, "9")).Surpluses); // a whole vial more: a fill is not on record
        var before = Count(0, "9.25") with { Id = "B", On = new LocalDate(2026, 1, 19) };
        Assert.Equal(2, Assert.Single(Plan(before, Count(0, "9.25")).Surpluses).Doses); // two doses since January 19, neither given
        Assert.Empty(Plan(before, Count(0, "9.75")).Surpluses); // four more, and two were due
    }

    [Fact]
    public void A_fill_of_the_same_day_is_counted_with_the_rest()
    {
        var fill = Fill("F-2", "V", 1) with { On = CountedOn };
        Assert.Empty(Plan(fill, Count(1, "9")).Surpluses);
        Assert.Equal(2, Assert.Single(Plan(fill, Count(1, "9.5")).Surpluses).Doses);
    }

    [Fact]
    public void A_count_taken_back_asks_nothing()
    {
        var taken = new Fact { Id = "Z", CourseId = "C", Kind = FactKind.Void, On = CountedOn, Note = "N" };
        Assert.Empty(Plan(Count(0, "9.8"), taken).Surpluses);
    }

    [Fact]
    public void What_is_more_of_one_size_may_be_less_of_another_that_nobody_counted()
    {
        var sizes = new Dictionary<string, Product> { ["V"] = Vial, ["V3"] = Vial with { Id = "V3", Volume = Volume.FromMl(3), SizeOf = "V" } };
        var small = Fill("F-3", "V3", 1);
        Assert.Empty(Plan(sizes, small, Count(0, "9.8")).Surpluses);
        var other = new Fact { Id = "N3", CourseId = "C", Kind = FactKind.Counted, On = CountedOn, ProductId = "V3", Containers = 1 };
        Assert.Equal(3, Assert.Single(Plan(sizes, small, Count(0, "9.8"), other).Surpluses).Doses);

        // And with both counted, what is less of one makes up for what is more of the other.
        Assert.Empty(Plan(sizes, small, Count(0, "9.8"), other with { Containers = 0 }).Surpluses);
    }

    [Fact]
    public void Prefilled_syringes_are_counted_by_the_piece()
    {
        var syringe = new Product { Id = "V", Drug = "dulaglutide", Kind = ProductKind.PrefilledSyringe, Unit = DoseUnit.Mg, DoseAmount = Amount.From(0.25m) };
        var products = new Dictionary<string, Product> { ["V"] = syringe };
        var more = Fill("F-2", "V", 7); // eight in all, four of them used
        Assert.Empty(Plan(products, more, Count(5, null)).Surpluses);
        var surplus = Assert.Single(Plan(products, more, Count(7, null)).Surpluses);
        Assert.Equal(3, surplus.Doses);
        Assert.Contains("found 7 syringes of V; by the record it should be 4 syringes. That is 3 syringes more: about 3 doses may not have been given", surplus.Text, StringComparison.Ordinal);
    }

    [Fact]
    public void It_is_asked_for_sixty_days_and_the_plan_names_the_day_after()
    {
        var course = Course(new() { ["V"] = Vial }, Count(0, "9.8"));
        var last = CountedOn.PlusDays(60);
        Assert.Single(PlanningPipeline.Plan([course], [], Policy.Default, last).Courses.Single().Surpluses);
        Assert.Empty(PlanningPipeline.Plan([course], [], Policy.Default, last.PlusDays(1)).Courses.Single().Surpluses);
        Assert.Equal(last.PlusDays(1), PlanningPipeline.Measure([course], [], Policy.Default, last, new Supply.Workbench()).ChangeOn);
    }

    [Fact]
    public void The_walk_of_a_count_changes_nothing_for_another_course_of_the_patient()
    {
        // The first ends within its supply, so that nothing but its count is walked after the second has run out.
        var counted = Course(new() { ["V"] = Vial }, Count(0, "9.8"));
        counted = counted with { Steps = [counted.Steps[0] with { DoseDays = 6 }] };
        var other = Course(new() { ["W"] = Vial with { Id = "W", Volume = Volume.FromMl(3) } });
        other = other with { Course = other.Course with { Id = "D" }, Steps = [other.Steps[0] with { CourseId = "D", ProductId = "W" }], Facts = [Fill("G", "W", 1) with { CourseId = "D" }] };
        var alone = PlanningPipeline.Plan([other], [], Policy.Default, CountedOn).Courses.Single();
        var together = PlanningPipeline.Plan([counted, other], [], Policy.Default, CountedOn).Courses;
        Assert.Single(together[0].Surpluses);
        Assert.Equal(alone.Refill!.Items, together[1].Refill!.Items);
        Assert.Equal(alone.Refill.DaysSupply, together[1].Refill!.DaysSupply);
    }

    private static Fact Count(int containers, string? left) => new() { Id = "N", CourseId = "C", Kind = FactKind.Counted, On = CountedOn, ProductId = "V", Containers = containers, Volume = left is null ? null : Volume.FromMl(decimal.Parse(left, System.Globalization.CultureInfo.InvariantCulture)) };

    private static Fact Missed(string on) => new() { Id = $"M {on}", CourseId = "C", Kind = FactKind.Missed, On = LocalDatePattern.Iso.Parse(on).Value };

    private static Fact Fill(string id, string product, int containers) => new() { Id = id, CourseId = "C", Kind = FactKind.Dispensed, On = Start, ProductId = product, Containers = containers };

    private static CoursePlan Plan(params Fact[] facts) => Plan(new() { ["V"] = Vial }, facts);

    private static CoursePlan Plan(Dictionary<string, Product> products, params Fact[] facts) => PlanningPipeline.Plan([Course(products, facts)], [], Policy.Default, CountedOn).Courses.Single();

    private static IReadOnlyList<PlannedTask> Tasks(params Fact[] facts) => CourseTasks.List(Course(new() { ["V"] = Vial }, facts), Plan(facts), new WorkHours(Site, Patient, Policy.Default, CountedOn));

    private static CourseSnapshot Course(Dictionary<string, Product> products, params Fact[] facts) => new()
    {
        Course = new Course { Id = "C", PatientId = "P", StartedOn = Start, DeviceId = "D" },
        Patient = Patient,
        Site = Site,
        Steps = [new Step { CourseId = "C", Number = 1, ProductId = "V", Doses = [Amount.From(0.25m)], EveryDays = 7 }],
        Products = products,
        Devices = new Dictionary<string, Device> { ["D"] = new() { Id = "D", Name = "1 mL", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Ml } },
        Facts = [Fill("F", "V", 1), .. facts],
    };
}
