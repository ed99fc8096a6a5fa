using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>The dates of a refill as day numbers, stepped back from the day on which it must be in hand.</summary>
/// <param name="ReadyOn">Handed over or sent.</param>
/// <param name="PrepareOn">Made up.</param>
/// <param name="ContactOn">The patient is asked.</param>
/// <param name="HasSafeShipDay">False: a cold parcel finds no safe day in 30, and the dates are those of one that is not cold.</param>
internal readonly record struct RefillDates(int ReadyOn, int PrepareOn, int ContactOn, bool HasSafeShipDay)
{
    private const int ShipSearchDays = 30;

    /// <summary>The dates of a refill.</summary>
    /// <param name="needInHandOn">Last day on which it may come into the patient's hands.</param>
    /// <param name="product">What is sent.</param>
    /// <param name="handover">How.</param>
    /// <param name="openDays">The site's.</param>
    /// <param name="policy">The settings.</param>
    public static RefillDates Of(int needInHandOn, Product product, Handover handover, OpenDays openDays, Policy policy)
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
    private static int? FindColdShipDay(int needInHandOn, OpenDays openDays, Policy policy)
    {
        for (var ready = needInHandOn - policy.TransitOpenDays; ready > needInHandOn - policy.TransitOpenDays - ShipSearchDays; ready--)
        {
            if (IsShipWeekday(ready, policy) && IsOpenAllTheWay(ready, openDays, policy))
                return ready;
        }

        return null;
    }

    private static bool IsShipWeekday(int day, Policy policy)
    {
        for (var index = 0; index < policy.ShipWeekdays.Count; index++)
        {
            if (policy.ShipWeekdays[index] == OpenDays.Weekday(day))
                return true;
        }

        return false;
    }

    private static bool IsOpenAllTheWay(int ready, OpenDays openDays, Policy policy)
    {
        for (var day = ready; day <= ready + policy.TransitOpenDays; day++)
        {
            if (!openDays.IsOpenForCarrier(day))
                return false;
        }

        return true;
    }

    // The latest open day whose arrival, some open days later, is not after the need.
    private static int ShipDay(int needInHandOn, OpenDays openDays, Policy policy)
    {
        var ready = openDays.Minus(needInHandOn, 0);
        while (openDays.Plus(ready, policy.TransitOpenDays) > needInHandOn)
            ready = openDays.Minus(ready, 1);
        return ready;
    }
}
