using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>Refills planned with the program's defaults, for rulings about their dates.</summary>
internal static class PlannedRefill
{
    private const int SupplyDays = 60;

    /// <summary>The refill of a daily medicine whose supply covers through a day.</summary>
    public static RefillPlan EndingOn(LocalDate lastCoveredOn, Handover handover, IReadOnlyList<IsoDayOfWeek> closedWeekdays)
    {
        var given = SupplyCase.Read($"start {lastCoveredOn.PlusDays(1 - SupplyDays):uuuu-MM-dd}; 1 vial of 6 mL, 100 units/mL; 10 units every 1 day");
        var course = given.Course();
        return Plan(course with
        {
            Patient = course.Patient with { Handover = handover },
            Site = course.Site with { ClosedWeekdays = closedWeekdays },
        }, given).Refill!;
    }

    /// <summary>The plan of a supply whose first fill was billed for some days.</summary>
    public static CoursePlan Billed(string supply, int daysSupply)
    {
        var given = SupplyCase.Read(supply);
        var course = given.Course();
        return Plan(course with
        {
            Course = course.Course with { FillDays = 22 },
            Facts = [.. course.Facts.Select(fact => fact.Kind == FactKind.Dispensed ? fact with { DaysSupply = daysSupply } : fact)],
        }, given);
    }

    private static CoursePlan Plan(CourseSnapshot course, SupplyCase given) => PlanningPipeline.Plan([course], [], given.Policy, given.AsOf).Courses.Single();
}
