using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Sharps;

/// <summary>The sharps that one day's injections leave.</summary>
/// <param name="Day">The day.</param>
/// <param name="Sharps">How many.</param>
/// <param name="IsHazardous">Whether they need a container of their own.</param>
internal readonly record struct SharpsDay(int Day, int Sharps, bool IsHazardous)
{
    /// <summary>Injections given before the as-of date, and those to come through the horizon as if supply never ended.</summary>
    public static IEnumerable<SharpsDay> List(CourseSupply course)
    {
        var asOf = DayNumber.Of(course.AsOf);
        var given = new List<GivenDays>();
        course.Walk(course.Days, given: given);
        foreach (var days in given)
        {
            for (var number = 0; number < days.Count; number++)
            {
                var day = days.FirstDay + number * days.EveryDays;
                if (day < asOf)
                    yield return Of(course, days.Step, day, days.Injections);
            }
        }

        // A walk that a finding stopped in the past knows nothing of the days after it: they are counted as given.
        var from = course.Main.Outcome == Outcome.NotComputed ? int.Min(course.Main.Day, asOf) : asOf;
        foreach (var stretch in course.Days.Stretches.Where(stretch => !stretch.IsPaused))
        {
            for (var number = 0; number < stretch.Count; number++)
            {
                var day = stretch.FirstDay + number * stretch.EveryDays;
                if (day >= from && day <= course.LastDay && !course.IsMissed(day))
                    yield return Of(course, stretch.Step, day, course.Demands[stretch.Step].InjectionsPerDay);
            }
        }
    }

    private static SharpsDay Of(CourseSupply course, int step, int day, int injections)
    {
        var product = course.Demands[step].Product;
        var device = product.Kind is ProductKind.MultiDoseVial or ProductKind.SingleDoseVial ? course.Course.FindDevice(course.Days.Steps[step].Step) : null;
        return new SharpsDay(day, injections * (device?.SharpsPerInjection ?? 1), product.Hazardous);
    }
}
