using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Tasks;
using Xunit;

namespace RefillPlanner.Core.Tests.Tasks;

/// <summary>A task changes when its need changes, not because another day has come.</summary>
public sealed class PlanningOnAnotherDayTests
{
    private static readonly LocalDate Monday = new(2026, 12, 14);
    private static readonly Site Site = new() { Id = "S", Name = "S", TimeZone = "America/New_York", ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday] };
    private static readonly Patient Patient = new() { Id = "P", Name = "P", SiteId = "S" };

    // 10 mL, 100 units/mL, 28 days in use: 30 units (0.3 mL) a day is 8.4 mL, and 1.6 mL are thrown away.
    private static readonly Product Vial = new() { Id = "V", Drug = "insulin NPH", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Units, Strength = new(Amount.From(100), Volume.FromMl(1)), Volume = Volume.FromMl(10), InUseDays = 28, PrepareOpenDays = 1 };
    private static readonly Device Syringe = new() { Id = "D", Name = "1 mL", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };
    private static readonly SharpsContainer Sharps = new() { Id = "SH", PatientId = "P", Capacity = 60, IssuedOn = Monday };

    [Fact]
    public void Planning_on_the_next_day_gives_the_same_tasks_in_the_same_words()
    {
        var course = Course(Vial);
        var today = List(course, Monday);
        Assert.Superset(new HashSet<TaskKind> { TaskKind.RefillContact, TaskKind.Prepare, TaskKind.HandOver, TaskKind.DiscardNotice, TaskKind.SharpsReturn }, today.Select(task => task.Kind).ToHashSet());
        Assert.All(today, task => Assert.True(task.PlannedOn > Monday.PlusDays(3)));
        for (var days = 1; days <= 3; days++)
            Assert.Equal(today, List(course, Monday.PlusDays(days)));
        Assert.Contains(today, task => task.Reason.Contains("January 11, 2027", System.StringComparison.Ordinal));
    }

    [Fact]
    public void A_sharps_container_is_spoken_of_without_the_number_in_it()
    {
        // 60 sharps, fill line 45, one a day from December 14: the 45th on January 27.
        var task = List(Course(Vial), Monday).Single(task => task.Kind == TaskKind.SharpsReturn);
        Assert.Equal("The fill line of 45 of its 60 sharps is reached on Wednesday, January 27, 2027; to be returned by Wednesday, February 10, 2027.", task.Reason);
    }

    [Fact]
    public void What_planning_finds_keeps_the_day_on_which_it_was_found()
    {
        // Daily doses of a weekly product. Found on Saturday, to be looked at on Monday; on Tuesday it is still the need of Monday.
        var course = Course(Vial with { MinEveryDays = 7 });
        var found = Assert.Single(List(course, Monday.PlusDays(5)), task => task.Kind == TaskKind.SupplyReview);
        Assert.Equal((Monday.PlusDays(7), Monday.PlusDays(7)), (found.PlannedOn, found.DueOn));
        Assert.Equal(found, Assert.Single(List(course, Monday.PlusDays(6)), task => task.Kind == TaskKind.SupplyReview));
        var wanted = List(course, Monday.PlusDays(8)).Where(task => task.Kind == TaskKind.SupplyReview).ToArray();
        Assert.Empty(TaskChange.List(wanted, [Record(found, TaskState.Overdue)], _ => false));
        Assert.True(Assert.Single(TaskChange.List(wanted, [Record(found, TaskState.Withdrawn)], _ => false)).IsAgain);
    }

    private static TaskOnRecord Record(PlannedTask task, TaskState state) => new() { Task = task, State = state, ChangedAt = task.DueAt, ChangedBy = TaskLife.Planner, Version = 2 };

    private static List<PlannedTask> List(CourseSnapshot course, LocalDate today)
    {
        var plan = PlanningPipeline.Plan([course], [Sharps], Policy.Default, today);
        var hours = new WorkHours(Site, Patient, Policy.Default, today);
        return [.. CourseTasks.List(course, plan.Courses.Single(), hours), .. SharpsTasks.List(Patient, plan.Sharps, hours)];
    }

    private static CourseSnapshot Course(Product product) => new()
    {
        Course = new Course { Id = "C", PatientId = "P", StartedOn = Monday, DeviceId = "D" },
        Patient = Patient,
        Site = Site,
        Steps = [new Step { CourseId = "C", Number = 1, ProductId = "V", Doses = [Amount.From(30)], EveryDays = 1 }],
        Products = new Dictionary<string, Product> { ["V"] = product },
        Devices = new Dictionary<string, Device> { ["D"] = Syringe },
        Facts = [new Fact { Id = "F", CourseId = "C", Kind = FactKind.Dispensed, On = Monday, ProductId = "V", Containers = 1 }],
    };
}
