using System.Collections.Generic;
using System.Linq;
using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>
/// The days on which a site works (planning model, section 1). Work moves earlier, never later. Each question can be asked with dates or
/// with day numbers (<see cref="DayNumber"/>).
/// </summary>
public sealed class OpenDays
{
    private const int DaysOfWeek = 7;

    // 1970-01-01, day 0, was a Thursday; Monday has the place 0.
    private const int ThursdayPlace = 3;

    private readonly bool[] _closedWeekdays = new bool[DaysOfWeek];
    private readonly HashSet<int> _closedOn;
    private readonly HashSet<int> _carrierClosedOn;
    private readonly int _knownThrough;

    /// <summary>The open days of a site.</summary>
    public OpenDays(Site site)
    {
        foreach (var weekday in site.ClosedWeekdays)
            _closedWeekdays[(int)weekday - 1] = true;
        _closedOn = [.. site.ClosedOn.Select(DayNumber.Of)];
        _carrierClosedOn = [.. site.CarrierClosedOn.Select(DayNumber.Of)];
        _knownThrough = DayNumber.OrNever(site.CalendarKnownThrough);
        Stamp = StampOf(site);
    }

    /// <summary>Of all that dates and words take from the site.</summary>
    internal Stamp Stamp { get; }

    /// <summary>Whether the site is open on a date.</summary>
    public bool IsOpen(LocalDate date) => IsOpen(DayNumber.Of(date));

    /// <summary>Whether the closed dates are known on a date; always, where no last date is stated.</summary>
    public bool IsKnown(LocalDate date) => IsKnown(DayNumber.Of(date));

    /// <summary>
    /// The date minus a number of open days: the n-th open day before it. Minus 0 is the date itself if open, else the open day before.
    /// </summary>
    /// <example>Closed on Saturday and Sunday: Sunday, March 8 minus 0 is Friday, March 6; minus 1 is Friday as well; minus 2 is Thursday.</example>
    public LocalDate Minus(LocalDate date, int openDays) => DayNumber.Date(Minus(DayNumber.Of(date), openDays));

    /// <summary>The date plus a number of open days: the n-th open day after it. Plus 0 is the date itself if open, else the open day after.</summary>
    public LocalDate Plus(LocalDate date, int openDays) => DayNumber.Date(Plus(DayNumber.Of(date), openDays));

    /// <summary>Whether the site is open on a day.</summary>
    internal bool IsOpen(int day) => !_closedWeekdays[WeekdayOf(day)] && (_closedOn.Count == 0 || !_closedOn.Contains(day));

    /// <summary>Whether the site is open and the carrier carries on a day.</summary>
    internal bool IsOpenForCarrier(int day) => IsOpen(day) && !_carrierClosedOn.Contains(day);

    /// <summary>Whether the closed dates are known on a day.</summary>
    internal bool IsKnown(int day) => day <= _knownThrough;

    /// <summary>A day minus a number of open days.</summary>
    internal int Minus(int day, int openDays) => Step(day, openDays, -1);

    /// <summary>A day plus a number of open days.</summary>
    internal int Plus(int day, int openDays) => Step(day, openDays, 1);

    /// <summary>The weekday of a day.</summary>
    internal static IsoDayOfWeek Weekday(int day) => (IsoDayOfWeek)(WeekdayOf(day) + 1);

    private static Stamp StampOf(Site site)
    {
        var stamp = Stamp.Empty.With(site.Name).With(site.TimeZone).With(DayNumber.OrNever(site.CalendarKnownThrough));
        foreach (var weekday in site.ClosedWeekdays)
            stamp = stamp.With((long)weekday);
        foreach (var date in site.ClosedOn)
            stamp = stamp.With(DayNumber.Of(date));
        return stamp;
    }

    private int Step(int day, int openDays, int direction)
    {
        if (openDays == 0 && IsOpen(day))
            return day;
        for (var left = int.Max(openDays, 1); left > 0;)
        {
            day += direction;
            if (IsOpen(day))
                left--;
        }

        return day;
    }

    private static int WeekdayOf(int day)
    {
        var place = (day + ThursdayPlace) % DaysOfWeek;
        return place < 0 ? place + DaysOfWeek : place;
    }
}
