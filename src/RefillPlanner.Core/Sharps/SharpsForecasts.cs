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
    private readonly List<SharpsForecast> _list = [];

    /// <summary>The forecasts of a patient's containers.</summary>
    /// <param name="courses">All courses of the patient, walked on one as-of date; at least one.</param>
    /// <param name="containers">All containers of the patient.</param>
    /// <param name="openDays">The site's.</param>
    public SharpsForecasts(IReadOnlyList<CourseSupply> courses, IReadOnlyList<SharpsContainer> containers, OpenDays openDays)
    {
        (_course, _openDays) = (courses[0], openDays);
        foreach (var container in containers)
        {
            if (container.IssuedOn <= _course.AsOf)
                _known.Add(container);
        }

        _known.Sort((left, right) => left.IssuedOn == right.IssuedOn ? string.CompareOrdinal(left.Id, right.Id) : left.IssuedOn.CompareTo(right.IssuedOn));
        if (_known.Count == 0)
            return;
        foreach (var course in courses)
        {
            SharpsDays.Add(course, FarAhead, _days);
            _separate |= course.HasHazardous;
        }

        _separate &= _known.Exists(container => container.ContainerClass is not null);
        for (var index = 0; index < _known.Count; index++)
            _list.Add(Forecast(index));
    }

    /// <summary>
    /// The forecast of each container, in order of issue. Past injections are those that the walk gave; the future is counted from
    /// the dosing days as if supply never ended, through the horizon. The latest issued container takes all; a hazardous product's sharps
    /// go into a container with a class of its own, where a step of the patient calls for such a product.
    /// </summary>
    public IReadOnlyList<SharpsForecast> List => _list;

    private int FarAhead => _course.LastDay + CourseSupply.FarAhead;

    /// <summary>
    /// The day on which the fill line of a container that is not reached within the horizon will be, looking further; null: not in sight.
    /// </summary>
    /// <param name="index">Place of the container in <see cref="List"/>.</param>
    public int? FindFarFillLine(int index) => FindFillLine(index, FarAhead);

    private SharpsForecast Forecast(int index)
    {
        var container = _known[index];
        var policy = _course.Policy;
        var fillLineDay = FindFillLine(index, _course.LastDay);
        var fillLineOn = fillLineDay is int full ? DayNumber.Date(full) : (LocalDate?)null;
        var nextDay = FindNextIssued(index);
        var used = int.Max(0, CountBefore(container, int.Min(nextDay, _course.AsOfDay)) - CountBefore(container, DayNumber.Of(container.IssuedOn)));
        var replacedOn = fillLineDay is null && nextDay != DayNumber.Never && used > 0 ? DayNumber.Date(nextDay) : (LocalDate?)null;
        LocalDate? noticeOn = fillLineDay is int on ? DayNumber.Date(_openDays.Minus(on - policy.SharpsNoticeDays, 0))
            : replacedOn is not null ? DayNumber.Date(_openDays.Minus(nextDay, 0))
            : null;
        var returnByOn = (fillLineOn ?? replacedOn)?.PlusDays(policy.SharpsReturnDays);
        return new SharpsForecast
        {
            SharpsId = container.Id,
            PatientId = container.PatientId,
            Used = used,
            Capacity = container.Capacity,
            HasClass = container.ContainerClass is not null,
            FillLine = FillLineOf(container),
            FillLineOn = fillLineOn,
            ReplacedOn = replacedOn,
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

    private int FillLineOf(SharpsContainer container) => container.Capacity * _course.Policy.FillLinePercent / 100;

    // The day on which the next container is issued that takes the same; never, if none is.
    private int FindNextIssued(int index)
    {
        for (var next = index + 1; next < _known.Count; next++)
        {
            if (TakesTheSame(_known[next], _known[index]))
                return DayNumber.Of(_known[next].IssuedOn);
        }

        return DayNumber.Never;
    }

    // The first day with which a container has reached its fill line; null: none through a day.
    private int? FindFillLine(int index, int through)
    {
        var container = _known[index];
        var wanted = int.Max(FillLineOf(container), 1);
        var from = DayNumber.Of(container.IssuedOn);
        var (low, high) = (from, int.Min(FindNextIssued(index) - 1, through));
        if (high < low)
            return null;
        var before = CountBefore(container, from);
        if (CountBefore(container, high + 1) - before < wanted)
            return null;
        while (low < high)
        {
            var middle = low + (high - low) / 2;
            if (CountBefore(container, middle + 1) - before >= wanted)
                high = middle;
            else
                low = middle + 1;
        }

        return low;
    }

    // Sharps of a container's kind left before a day, since ever.
    private int CountBefore(SharpsContainer container, int day)
    {
        var count = 0;
        foreach (var days in _days)
        {
            if (!_separate || days.IsHazardous == container.ContainerClass is not null)
                count += days.Before(day);
        }

        return count;
    }
}
