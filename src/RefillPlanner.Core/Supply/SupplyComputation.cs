using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>When a patient's supply runs out: the computation of the supply model, as a function of facts, settings and a date.</summary>
public static class SupplyComputation
{
    /// <summary>What is reported of a course.</summary>
    /// <param name="course">Everything on record about it.</param>
    /// <param name="policy">The settings.</param>
    /// <param name="asOf">As of D means before D's doses.</param>
    /// <example>
    /// A 10 mL vial of U-100, 36 units a day, opened on its first day, 28 days in use: 27 whole doses, run-out on start + 27.
    /// </example>
    public static SupplyOutcome Of(CourseSnapshot course, Policy policy, LocalDate asOf) => CourseSupply.Of(course, policy, asOf, new Workbench()).Report();

    /// <summary>The working of the same walk, from the first fact on, line by line.</summary>
    public static IReadOnlyList<WalkLine> ListWorking(CourseSnapshot course, Policy policy, LocalDate asOf)
    {
        var supply = CourseSupply.Of(course, policy, asOf, new Workbench());
        var journal = new WalkJournal();
        supply.Walk(supply.Days, journal: journal);
        return journal.Lines;
    }
}
