using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Sharps;

/// <summary>Forecasts the sharps containers of a patient over all courses (planning model, section 5).</summary>
internal static class SharpsForecasts
{
    /// <summary>
    /// The forecast of each container, in order of issue. Past injections are those that the walk gave; the future is counted from
    /// the dosing days as if supply never ended. The latest issued container takes all; a hazardous product's sharps go into a
    /// container with a class of its own, where the patient has such a product.
    /// </summary>
    /// <param name="courses">All courses of the patient, walked on one as-of date.</param>
    /// <param name="containers">All containers of the patient.</param>
    /// <param name="openDays">The site's.</param>
    public static IReadOnlyList<SharpsForecast> List(IReadOnlyList<CourseSupply> courses, IReadOnlyList<SharpsContainer> containers, OpenDays openDays)
    {
        if (containers.Count == 0 || courses.Count == 0)
            return [];
        var asOf = courses[0].AsOf;
        var known = containers.Where(container => container.IssuedOn <= asOf).OrderBy(container => container.IssuedOn).ThenBy(container => container.Id, System.StringComparer.Ordinal).ToArray();
        var left = courses.SelectMany(SharpsDay.List).OrderBy(day => day.Day).ToArray();
        var separate = left.Any(day => day.IsHazardous) && known.Any(container => container.ContainerClass is not null);
        return [.. known.Select((container, index) =>
        {
            bool TakesTheSame(SharpsContainer other) => !separate || (other.ContainerClass is null) == (container.ContainerClass is null);
            var next = known.Skip(index + 1).FirstOrDefault(TakesTheSame);
            var mine = left.Where(day => day.Day >= DayNumber.Of(container.IssuedOn) && day.Day < DayNumber.OrNever(next?.IssuedOn)
                && (!separate || day.IsHazardous == container.ContainerClass is not null));
            return Forecast(container, [.. mine], courses[0], openDays);
        })];
    }

    private static SharpsForecast Forecast(SharpsContainer container, IReadOnlyList<SharpsDay> days, CourseSupply course, OpenDays openDays)
    {
        var policy = course.Policy;
        var fillLine = container.Capacity * policy.FillLinePercent / 100;
        int count = 0, used = 0;
        LocalDate? fillLineOn = null;
        var asOf = DayNumber.Of(course.AsOf);
        foreach (var day in days)
        {
            count += day.Sharps;
            if (day.Day < asOf)
                used = count;
            if (fillLineOn is null && count >= fillLine)
                fillLineOn = DayNumber.Date(day.Day);
        }

        LocalDate? noticeOn = fillLineOn is LocalDate full ? openDays.Minus(full.PlusDays(-policy.SharpsNoticeDays), 0) : null;
        var returnByOn = fillLineOn?.PlusDays(policy.SharpsReturnDays);
        return new SharpsForecast
        {
            SharpsId = container.Id,
            PatientId = container.PatientId,
            Used = used,
            Capacity = container.Capacity,
            HasClass = container.ContainerClass is not null,
            FillLine = fillLine,
            FillLineOn = fillLineOn,
            NoticeOn = noticeOn,
            ReturnByOn = returnByOn,
            State = container switch
            {
                { ReturnedOn: LocalDate on } when on <= course.AsOf => SharpsState.Returned,
                { WrittenOffOn: LocalDate on } when on <= course.AsOf => SharpsState.WrittenOff,
                _ when course.AsOf > returnByOn => SharpsState.Overdue,
                _ when course.AsOf >= noticeOn => SharpsState.NoticeSent,
                _ => SharpsState.Issued,
            },
        };
    }
}
