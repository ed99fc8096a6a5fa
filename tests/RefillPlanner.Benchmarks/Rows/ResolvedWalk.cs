using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>
/// The planner's walk of one course, with all that goes before it done: facts put in order, dosing days resolved, draws worked out.
/// The one place that knows how the planner walks.
/// </summary>
internal sealed class ResolvedWalk
{
    private readonly CourseSupply _supply;

    private ResolvedWalk(CourseSupply supply) => _supply = supply;

    /// <summary>Resolves a course.</summary>
    public static ResolvedWalk Of(CourseSnapshot course, Policy policy, LocalDate asOf, Workbench bench) => new(CourseSupply.Of(course, policy, asOf, bench));

    /// <summary>Walks; the last day walked: with a run-out, its day.</summary>
    public int Run() => _supply.Walk(_supply.Days).Day;

    /// <summary>Walks; the run-out's day from the as-of date on, 0 being that date itself; null: it does not run out.</summary>
    public int? FindRunOut()
    {
        var result = _supply.Walk(_supply.Days);
        return result.Outcome == Outcome.RunsOut ? result.Day - _supply.AsOfDay : null;
    }
}
