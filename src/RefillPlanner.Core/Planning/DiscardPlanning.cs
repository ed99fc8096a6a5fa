using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>Containers that will pass their last day of use with something in them (planning model, section 4).</summary>
internal static class DiscardPlanning
{
    /// <summary>The next open container of each family to be thrown away, and every sealed one that passes its beyond-use date, within the walk.</summary>
    public static IReadOnlyList<DiscardPlan> List(CourseSupply supply)
    {
        if (supply.Passed.Count == 0)
            return [];
        var open = supply.Passed
            .Where(passed => passed.IsOpen)
            .DistinctBy(passed => supply.Shelf[passed.Product].Family)
            .Select(passed => Plan(supply, passed, 1));
        var sealedOnes = supply.Passed
            .Where(passed => !passed.IsOpen)
            .GroupBy(passed => (passed.Product, passed.Day))
            .Select(group => Plan(supply, group.First(), group.Sum(passed => passed.Count)));
        return [.. open, .. sealedOnes];
    }

    private static DiscardPlan Plan(CourseSupply supply, in PassedContainers passed, int containers) => new(
        supply.Shelf[passed.Product].Product.Id,
        DayNumber.Date(passed.Day - 1),
        DayNumber.Date(passed.Day),
        new Volume(passed.Left * containers),
        containers,
        passed.IsOpen);
}
