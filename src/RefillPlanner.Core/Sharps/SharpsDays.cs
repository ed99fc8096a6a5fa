using System.Collections.Generic;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Sharps;

/// <summary>Days in one rhythm on each of which injections leave some sharps.</summary>
/// <param name="FirstDay">The first of them.</param>
/// <param name="EveryDays">Days from one to the next.</param>
/// <param name="Count">How many; 1 or more.</param>
/// <param name="Sharps">Sharps on each; negative takes back what another row counted.</param>
/// <param name="IsHazardous">Whether they need a container of their own.</param>
internal readonly record struct SharpsDays(int FirstDay, int EveryDays, int Count, int Sharps, bool IsHazardous)
{
    /// <summary>Sharps left before a day.</summary>
    public int Before(int day) => day <= FirstDay ? 0 : (int)long.Min(Count, ((long)day - FirstDay + EveryDays - 1) / EveryDays) * Sharps;

    /// <summary>Adds the days of a course: those given before the as-of date, and those to come, as if supply never ended.</summary>
    /// <param name="course">The course, walked.</param>
    /// <param name="through">The last day counted.</param>
    /// <param name="days">Where they go.</param>
    public static void Add(CourseSupply course, int through, List<SharpsDays> days)
    {
        foreach (var given in course.Given)
            days.Add(Of(course, given.Step, given.FirstDay, given.EveryDays, given.Count, given.Injections));

        // A walk that a finding stopped in the past knows nothing of the days after it: they are counted as given.
        var from = course.Main.Outcome == Outcome.NotComputed ? int.Min(course.Main.Day, course.AsOfDay) : course.AsOfDay;
        foreach (var stretch in course.Days.Stretches)
        {
            var skipped = stretch.CountBefore(from);
            var count = stretch.CountBefore(through + 1) - skipped;
            if (stretch.IsPaused || count <= 0)
                continue;
            var first = stretch.FirstDay + skipped * stretch.EveryDays;
            var coming = Of(course, stretch.Step, first, stretch.EveryDays, count, course.Demands[stretch.Step].InjectionsPerDay);
            days.Add(coming);
            foreach (var missed in course.ListMissed(first))
            {
                if (missed <= stretch.LastDay && (missed - first) % stretch.EveryDays == 0 && missed <= through)
                    days.Add(coming with { FirstDay = missed, Count = 1, Sharps = -coming.Sharps });
            }
        }
    }

    private static SharpsDays Of(CourseSupply course, int step, int firstDay, int everyDays, int count, int injections)
    {
        var product = course.Demands[step].Product;
        var device = product.Kind is ProductKind.MultiDoseVial or ProductKind.SingleDoseVial ? course.Course.FindDevice(course.Days.Steps[step].Step) : null;
        return new SharpsDays(firstDay, everyDays, count, injections * (device?.SharpsPerInjection ?? 1), product.Hazardous);
    }
}
