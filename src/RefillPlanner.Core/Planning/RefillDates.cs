using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>The dates of a refill, stepped back from the day on which it must be in hand.</summary>
/// <param name="ReadyOn">Handed over or sent.</param>
/// <param name="PrepareOn">Made up.</param>
/// <param name="ContactOn">The patient is asked.</param>
/// <param name="HasSafeShipDay">False: a cold parcel finds no safe day in 30, and the dates are those of one that is not cold.</param>
internal sealed record RefillDates(LocalDate ReadyOn, LocalDate PrepareOn, LocalDate ContactOn, bool HasSafeShipDay)
{
    private const int ShipSearchDays = 30;

    /// <summary>The dates of a refill.</summary>
    /// <param name="needInHandOn">Last day on which it may come into the patient's hands.</param>
    /// <param name="product">What is sent.</param>
    /// <param name="handover">How.</param>
    /// <param name="openDays">The site's.</param>
    /// <param name="policy">The settings.</param>
    public static RefillDates Of(LocalDate needInHandOn, Product product, Handover handover, OpenDays openDays, Policy policy)
    {
        var coldOn = handover == Handover.Ship && product.Cold ? FindColdShipDay(needInHandOn, openDays, policy) : null;
        var readyOn = handover == Handover.Pickup
            ? openDays.Minus(needInHandOn, 0)
            : coldOn ?? ShipDay(needInHandOn, openDays, policy);
        var prepareOn = openDays.Minus(readyOn, product.PrepareOpenDays);
        return new RefillDates(
            readyOn,
            prepareOn,
            openDays.Minus(prepareOn, policy.ContactOpenDays),
            HasSafeShipDay: handover == Handover.Pickup || !product.Cold || coldOn is not null);
    }

    // The latest ship weekday from which every day to the arrival is open for site and carrier.
    private static LocalDate? FindColdShipDay(LocalDate needInHandOn, OpenDays openDays, Policy policy) => Enumerable
        .Range(policy.TransitOpenDays, ShipSearchDays)
        .Select(back => needInHandOn.PlusDays(-back))
        .Where(ready => policy.ShipWeekdays.Contains(ready.DayOfWeek)
            && Enumerable.Range(0, policy.TransitOpenDays + 1).All(day => openDays.IsOpenForCarrier(ready.PlusDays(day))))
        .Select(ready => (LocalDate?)ready)
        .FirstOrDefault();

    // The latest open day whose arrival, some open days later, is not after the need.
    private static LocalDate ShipDay(LocalDate needInHandOn, OpenDays openDays, Policy policy)
    {
        var ready = openDays.Minus(needInHandOn, 0);
        while (openDays.Plus(ready, policy.TransitOpenDays) > needInHandOn)
            ready = openDays.Minus(ready, 1);
        return ready;
    }
}
