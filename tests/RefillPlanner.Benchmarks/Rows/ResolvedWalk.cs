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
    private readonly WalkEvent[] _events;

    private ResolvedWalk(CourseSupply supply)
    {
        _supply = supply;
        _events = WalkEvent.List(supply.Facts);
    }

    /// <summary>Resolves a course.</summary>
    public static ResolvedWalk Of(CourseSnapshot course, Policy policy, LocalDate asOf) => new(CourseSupply.Of(course, policy, asOf));

    /// <summary>Walks; the last day walked: with a run-out, its day.</summary>
    public int Run()
    {
        var asOf = DayNumber.Of(_supply.AsOf);
        return SupplyWalk.Run(_supply.Course.Products, _supply.Demands, _events, new WalkRequest(_supply.Days, asOf, asOf, _supply.LastDay), _supply.Policy.SplitDraws).Day;
    }

    /// <summary>Walks; the run-out's day from the as-of date on, 0 being that date itself; null: it does not run out.</summary>
    public int? FindRunOut()
    {
        var asOf = DayNumber.Of(_supply.AsOf);
        var result = SupplyWalk.Run(_supply.Course.Products, _supply.Demands, _events, new WalkRequest(_supply.Days, asOf, asOf, _supply.LastDay), _supply.Policy.SplitDraws);
        return result.Outcome == Outcome.RunsOut ? result.Day - asOf : null;
    }
}
