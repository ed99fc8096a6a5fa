using System;
using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Sharps;

/// <summary>Forecasts the sharps containers of a patient over all courses (planning model, section 5).</summary>
internal sealed class SharpsForecasts
{
    private readonly CourseSupply _course;
    private readonly OpenDays _openDays;
    private readonly List<SharpsContainer> _known = [];
    private readonly List<SharpsDays> _days = [];
    private readonly bool _separate;
    private readonly int _through;

    private SharpsForecasts(IReadOnlyList<CourseSupply> courses, IReadOnlyList<SharpsContainer> containers, OpenDays openDays, int through)
    {
        (_course, _openDays, _through) = (courses[0], openDays, through);
        foreach (var container in containers)
        {
            if (container.IssuedOn <= _course.AsOf)
                _known.Add(container);
        }

        _known.Sort((left, right) => left.IssuedOn == right.IssuedOn ? string.CompareOrdinal(left.Id, right.Id) : left.IssuedOn.CompareTo(right.IssuedOn));
        foreach (var course in courses)
            SharpsDays.Add(course, through, _days);
        _separate = _days.Exists(days => days.IsHazardous) && _known.Exists(container => container.ContainerClass is not null);
    }

    /// <summary>
    /// The forecast of each container, in order of issue. Past injections are those that the walk gave; the future is counted from
    /// the dosing days as if supply never ended. The latest issued container takes all; a hazardous product's sharps go into a
    /// container with a class of its own, where the patient has such a product.
    /// </summary>
    /// <param name="courses">All courses of the patient, walked on one as-of date.</param>
    /// <param name="containers">All containers of the patient.</param>
    /// <param name="openDays">The site's.</param>
    /// <param name="through">The last day counted; null: the horizon.</param>
    public static IReadOnlyList<SharpsForecast> List(IReadOnlyList<CourseSupply> courses, IReadOnlyList<SharpsContainer> containers, OpenDays openDays, int? through = null)
    {
        if (containers.Count == 0 || courses.Count == 0)
            return [];
        var forecasts = new SharpsForecasts(courses, containers, openDays, through ?? courses[0].LastDay);
        var list = new SharpsForecast[forecasts._known.Count];
        for (var index = 0; index < list.Length; index++)
            list[index] = forecasts.Forecast(index);
        return list;
    }

    private SharpsForecast Forecast(int index)
    {
        var container = _known[index];
        var policy = _course.Policy;
        var issuedOn = DayNumber.Of(container.IssuedOn);
        var until = DayNumber.Never;
        for (var next = _known.Count - 1; next > index; next--)
        {
            if (TakesTheSame(_known[next], container))
                until = DayNumber.Of(_known[next].IssuedOn);
        }

        var fillLine = container.Capacity * policy.FillLinePercent / 100;
        var fillLineDay = FindDay(container, issuedOn, until, int.Max(fillLine, 1));
        var fillLineOn = fillLineDay is int full ? DayNumber.Date(full) : (LocalDate?)null;
        LocalDate? noticeOn = fillLineDay is int on ? DayNumber.Date(_openDays.Minus(on - policy.SharpsNoticeDays, 0)) : null;
        var returnByOn = fillLineOn?.PlusDays(policy.SharpsReturnDays);
        return new SharpsForecast
        {
            SharpsId = container.Id,
            PatientId = container.PatientId,
            Used = Count(container, issuedOn, int.Min(until, _course.AsOfDay)),
            Capacity = container.Capacity,
            HasClass = container.ContainerClass is not null,
            FillLine = fillLine,
            FillLineOn = fillLineOn,
            NoticeOn = noticeOn,
            ReturnByOn = returnByOn,
            State = container switch
            {
                { ReturnedOn: LocalDate day } when day <= _course.AsOf => SharpsState.Returned,
                { WrittenOffOn: LocalDate day } when day <= _course.AsOf => SharpsState.WrittenOff,
                _ when _course.AsOf > returnByOn => SharpsState.Overdue,
                _ when _course.AsOf >= noticeOn => SharpsState.NoticeSent,
                _ => SharpsState.Issued,
            },
        };
    }

    private bool TakesTheSame(SharpsContainer other, SharpsContainer container) =>
        !_separate || (other.ContainerClass is null) == (container.ContainerClass is null);

    // The first day from one on, before another, with which a container has taken so many sharps; null: none through the last day counted.
    private int? FindDay(SharpsContainer container, int from, int until, int wanted)
    {
        var (low, high) = (from, int.Min(until - 1, _through));
        if (high < low || Count(container, from, high + 1) < wanted)
            return null;
        while (low < high)
        {
            var middle = low + (high - low) / 2;
            if (Count(container, from, middle + 1) >= wanted)
                high = middle;
            else
                low = middle + 1;
        }

        return low;
    }

    // Sharps that a container took from one day to before another.
    private int Count(SharpsContainer container, int from, int until)
    {
        var count = 0;
        foreach (var days in _days)
        {
            if (!_separate || days.IsHazardous == container.ContainerClass is not null)
                count += days.Before(until) - days.Before(from);
        }

        return int.Max(count, 0);
    }
}
