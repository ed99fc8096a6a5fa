using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;

namespace RefillPlanner.Core.Planning;

/// <summary>
/// How the next sharps container goes out: with the last refill, of whatever course, that is handed over on or before the fill line, else on its
/// own (planning model, section 5).
/// </summary>
internal static class SharpsReplacement
{
    /// <summary>Finds, for each container that fills up, what the next one goes with.</summary>
    /// <param name="courses">All courses of the patient.</param>
    /// <param name="sharps">The forecasts, in order of issue.</param>
    /// <returns>How many containers go with the refill of each course; and the forecasts, with those marked whose next one goes on its own.</returns>
    public static (int[] WithRefill, IReadOnlyList<SharpsForecast> Sharps) Of(IReadOnlyList<CourseFigures> courses, IReadOnlyList<SharpsForecast> sharps)
    {
        var withRefill = new int[courses.Count];
        SharpsForecast[]? marked = null;
        for (var index = 0; index < sharps.Count; index++)
        {
            if (!sharps[index].IsOut || sharps[index].FillLineOn is not LocalDate fillLineOn || HasNext(sharps, index))
                continue;
            var full = DayNumber.Of(fillLineOn);
            if (FindCarrier(courses, full) is int course)
                withRefill[course]++;
            else if (!HasRefillBefore(courses, full))
                (marked ??= [.. sharps])[index] = sharps[index] with { IsReplacedAlone = true };
        }

        return (withRefill, marked ?? sharps);
    }

    // The course whose refill is handed over last of those that are not after the fill line and serve the days in which it lies.
    private static int? FindCarrier(IReadOnlyList<CourseFigures> courses, int full)
    {
        int? carrier = null;
        for (var index = 0; index < courses.Count; index++)
        {
            if (courses[index].Refill is RefillPlanning refill && refill.Dates.ReadyOn <= full && full < refill.ServesOn + refill.FillDays
                && (carrier is null || refill.Dates.ReadyOn > courses[carrier.Value].Refill!.Dates.ReadyOn))
                carrier = index;
        }

        return carrier;
    }

    // A refill comes before the fill line, and further ones after it.
    private static bool HasRefillBefore(IReadOnlyList<CourseFigures> courses, int full)
    {
        for (var index = 0; index < courses.Count; index++)
        {
            if (courses[index].Refill is RefillPlanning refill && refill.Dates.ReadyOn <= full)
                return true;
        }

        return false;
    }

    // A later container that takes the same is out already.
    private static bool HasNext(IReadOnlyList<SharpsForecast> sharps, int index)
    {
        for (var next = index + 1; next < sharps.Count; next++)
        {
            if (sharps[next].IsOut && sharps[next].HasClass == sharps[index].HasClass)
                return true;
        }

        return false;
    }
}
