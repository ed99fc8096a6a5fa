using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Whether two records of one id say the same, lists compared item by item.</summary>
internal static class SameContent
{
    public static bool Of(Site one, Site other) =>
        one.ClosedWeekdays.SequenceEqual(other.ClosedWeekdays)
        && one.ClosedOn.SequenceEqual(other.ClosedOn)
        && one.CarrierClosedOn.SequenceEqual(other.CarrierClosedOn)
        && one == other with { ClosedWeekdays = one.ClosedWeekdays, ClosedOn = one.ClosedOn, CarrierClosedOn = one.CarrierClosedOn };

    public static bool Of(Step one, Step other) => one.Doses.SequenceEqual(other.Doses) && one == other with { Doses = one.Doses };
}
