using System;
using System.Collections.Generic;
using System.Runtime.CompilerServices;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>
/// What is kept from one course to the next, so that a million courses are worked out like one: the walker with its memory, and what
/// many courses have in common (shelves of products, what steps take, open days of sites). It changes no answer. For one thread.
/// </summary>
public sealed class Workbench
{
    // Far more than the products, strengths, doses and syringes of any pharmacy; beyond it everything is worked out again.
    private const int MostRemembered = 20_000;

    private readonly Dictionary<object, ProductShelf> _shelves = new(ReferenceEqualityComparer.Instance);
    private readonly Dictionary<object, OpenDays> _openDays = new(ReferenceEqualityComparer.Instance);
    private readonly Dictionary<DemandKey, StepDemand> _demands = [];

    /// <summary>The walker.</summary>
    internal SupplyWalk Walker { get; } = new();

    /// <summary>The course at whose run-out the walker's mark stands; null: it stands elsewhere.</summary>
    internal CourseSupply? MarkedBy { get; set; }

    /// <summary>Where figures are written in a row.</summary>
    internal PackWriter Figures { get; } = new();

    /// <summary>The shelf of a set of products.</summary>
    internal ProductShelf ShelfOf(IReadOnlyDictionary<string, Product> products)
    {
        if (_shelves.TryGetValue(products, out var shelf))
            return shelf;
        if (_shelves.Count == MostRemembered)
            _shelves.Clear();
        _shelves.Add(products, shelf = new ProductShelf(products));
        return shelf;
    }

    /// <summary>The open days of a site.</summary>
    internal OpenDays OpenDaysOf(Site site)
    {
        if (_openDays.TryGetValue(site, out var openDays))
            return openDays;
        if (_openDays.Count == MostRemembered)
            _openDays.Clear();
        _openDays.Add(site, openDays = new OpenDays(site));
        return openDays;
    }

    /// <summary>What a step takes.</summary>
    internal StepDemand DemandOf(CourseSnapshot course, ProductShelf shelf, Step step, Policy policy)
    {
        var key = new DemandKey(shelf, step, course.FindDevice(step), step.Expelled ?? course.Course.Expelled, policy);
        if (_demands.TryGetValue(key, out var demand))
            return demand;
        if (_demands.Count == MostRemembered)
            _demands.Clear();
        _demands.Add(key, demand = StepDemand.Of(course, shelf, step, policy));
        return demand;
    }

    // All that StepDemand.Of looks at.
    private readonly record struct DemandKey(ProductShelf Shelf, Step Step, Device? Device, Volume Expelled, Policy Policy)
    {
        public bool Equals(DemandKey other) =>
            ReferenceEquals(Shelf, other.Shelf) && ReferenceEquals(Device, other.Device) && Expelled == other.Expelled
            && Step.Number == other.Step.Number && Step.EveryDays == other.Step.EveryDays
            && Policy.OffMarksPercent == other.Policy.OffMarksPercent && Policy.SplitDraws == other.Policy.SplitDraws
            && string.Equals(Step.ProductId, other.Step.ProductId, StringComparison.Ordinal) && HasSameDoses(other.Step);

        public override int GetHashCode()
        {
            var hash = HashCode.Combine(RuntimeHelpers.GetHashCode(Shelf), Step.Number, Step.EveryDays, Step.Doses.Count, Expelled.Nanolitres);
            for (var index = 0; index < Step.Doses.Count; index++)
                hash = HashCode.Combine(hash, Step.Doses[index].Billionths);
            return hash;
        }

        private bool HasSameDoses(Step other)
        {
            if (Step.Doses.Count != other.Doses.Count)
                return false;
            for (var index = 0; index < Step.Doses.Count; index++)
            {
                if (Step.Doses[index] != other.Doses[index])
                    return false;
            }

            return true;
        }
    }
}
