using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>Containers that will pass their last day of use with something in them (planning model, section 4).</summary>
internal static class DiscardPlanning
{
    /// <summary>The next open container to be thrown away, and every sealed one that passes its beyond-use date, within the walk.</summary>
    public static IReadOnlyList<DiscardPlan> List(CourseSupply supply)
    {
        var journal = new WalkJournal();
        supply.Walk(supply.Days, journal: journal);
        var lines = journal.Lines.Where(line => line.On > supply.AsOf && line.Kind == WalkLineKind.Discarded).ToArray();
        var open = lines
            .Where(line => line.ClosedBy is ClosedBy.InUseLimit or ClosedBy.BeyondUse && line.Left > Volume.Zero)
            .DistinctBy(line => supply.Course.Products[line.ProductId].Family)
            .Select(line => Plan(line, 1, isOpen: true));
        var sealedOnes = lines
            .Where(line => line.ClosedBy == ClosedBy.SealedBeyondUse)
            .GroupBy(line => (line.ProductId, line.On))
            .Select(group => Plan(group.First(), group.Count(), isOpen: false));
        return [.. open, .. sealedOnes];
    }

    private static DiscardPlan Plan(WalkLine line, int containers, bool isOpen) =>
        new(line.ProductId, line.On.PlusDays(-1), line.On, new Volume(line.Left.Nanolitres * containers), containers, isOpen);
}
