using System.Collections.Generic;
using System.Linq;
using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>
/// The days on which a site works (planning model, section 1). Work moves earlier, never later.
/// </summary>
public sealed class OpenDays
{
    private readonly HashSet<IsoDayOfWeek> _closedWeekdays;
    private readonly HashSet<LocalDate> _closedOn;
    private readonly HashSet<LocalDate> _carrierClosedOn;
    private readonly LocalDate? _knownThrough;

    /// <summary>The open days of a site.</summary>
    public OpenDays(Site site)
    {
        _closedWeekdays = [.. site.ClosedWeekdays];
        _closedOn = [.. site.ClosedOn];
        _carrierClosedOn = [.. site.CarrierClosedOn];
        _knownThrough = site.CalendarKnownThrough;
    }

    /// <summary>Whether the site is open on a date.</summary>
    public bool IsOpen(LocalDate date) => !_closedWeekdays.Contains(date.DayOfWeek) && !_closedOn.Contains(date);

    /// <summary>Whether the site is open and the carrier carries on a date.</summary>
    public bool IsOpenForCarrier(LocalDate date) => IsOpen(date) && !_carrierClosedOn.Contains(date);

    /// <summary>Whether the closed dates are known on a date; always, where no last date is stated.</summary>
    public bool IsKnown(LocalDate date) => _knownThrough is not LocalDate last || date <= last;

    /// <summary>
    /// The date minus a number of open days: the n-th open day before it. Minus 0 is the date itself if open, else the open day before.
    /// </summary>
    /// <example>Closed on Saturday and Sunday: Sunday, March 8 minus 0 is Friday, March 6; minus 1 is Friday as well; minus 2 is Thursday.</example>
    public LocalDate Minus(LocalDate date, int openDays)
    {
        if (openDays == 0 && IsOpen(date))
            return date;
        for (var left = int.Max(openDays, 1); left > 0;)
        {
            date = date.PlusDays(-1);
            if (IsOpen(date))
                left--;
        }

        return date;
    }

    /// <summary>The date plus a number of open days: the n-th open day after it. Plus 0 is the date itself if open, else the open day after.</summary>
    public LocalDate Plus(LocalDate date, int openDays)
    {
        if (openDays == 0 && IsOpen(date))
            return date;
        for (var left = int.Max(openDays, 1); left > 0;)
        {
            date = date.PlusDays(1);
            if (IsOpen(date))
                left--;
        }

        return date;
    }
}
