using NodaTime;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tests.Literal;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>The tests' day-by-day walk of one course, with the record put in order and the dosing days listed beforehand.</summary>
/// <param name="course">The course.</param>
internal sealed class LiteralCourseWalk(CourseSnapshot course)
{
    // The tests list the dosing days so far beyond the horizon.
    private const int FarAhead = 800;

    private readonly LiteralRecord _record = new(course, LargeRoster.Today);

    private readonly LiteralDays _days = new(new LiteralRecord(course, LargeRoster.Today), LargeRoster.Today.PlusDays(Policy.Default.HorizonDays + FarAhead));

    /// <summary>Walks; the run-out's day from the as-of date on, 0 being that date itself; null: it does not run out.</summary>
    public int? FindRunOut() => new LiteralCourse(_record, Policy.Default, _days).RunOutOn is LocalDate day ? Period.DaysBetween(LargeRoster.Today, day) : null;
}
