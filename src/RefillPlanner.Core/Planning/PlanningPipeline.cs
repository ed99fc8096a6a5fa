using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>The steps from what is on record to what follows, in order, on one screen. It does nothing else.</summary>
public static class PlanningPipeline
{
    /// <summary>Plans all courses of one patient.</summary>
    /// <param name="courses">All courses of the patient; at least one.</param>
    /// <param name="containers">All sharps containers of the patient.</param>
    /// <param name="policy">The settings of the patient's site.</param>
    /// <param name="asOf">As of D means before D's doses.</param>
    public static PatientPlan Plan(IReadOnlyList<CourseSnapshot> courses, IReadOnlyList<SharpsContainer> containers, Policy policy, LocalDate asOf) =>
        Measure(courses, containers, policy, asOf, new Workbench()).Say();

    /// <summary>The same in numbers, which become words only where somebody is to read them.</summary>
    /// <param name="courses">All courses of the patient; at least one.</param>
    /// <param name="containers">All sharps containers of the patient.</param>
    /// <param name="policy">The settings of the patient's site.</param>
    /// <param name="asOf">As of D means before D's doses.</param>
    /// <param name="bench">What is kept from one patient to the next; the figures are to be used before the next patient is worked out on it.</param>
    public static PatientFigures Measure(IReadOnlyList<CourseSnapshot> courses, IReadOnlyList<SharpsContainer> containers, Policy policy, LocalDate asOf, Workbench bench)
    {
        var openDays = bench.OpenDaysOf(courses[0].Site);
        var supplies = new CourseSupply[courses.Count];
        for (var index = 0; index < supplies.Length; index++)
            supplies[index] = CourseSupply.Of(courses[index], policy, asOf, bench);
        var sharps = new SharpsForecasts(supplies, containers, openDays);
        var figures = new CourseFigures[supplies.Length];
        for (var index = 0; index < figures.Length; index++)
            figures[index] = CourseFigures.Of(supplies[index], openDays);
        return new PatientFigures(figures, sharps, containers, bench.Figures);
    }
}
