using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What a patient has of a lot, by what is on record (planning model, section 8).</summary>
public sealed record LotHolding
{
    /// <summary>Sealed containers in hand on the as-of date, by the walk.</summary>
    public required int Sealed { get; init; }

    /// <summary>Whether the open container is of it, by the walk.</summary>
    public required bool HasOpen { get; init; }

    /// <summary>Whether it may still be in use though the walk has used it up: it was in hand within the last fill's length, and nobody has counted since.</summary>
    public required bool MayBeInUse { get; init; }

    /// <summary>Fills of it that have not arrived yet.</summary>
    public required IReadOnlyList<Fact> OnTheirWay { get; init; }

    /// <summary>Containers of it made up that wait in the pharmacy; they are not the patient's stock.</summary>
    public required IReadOnlyList<Fact> Waiting { get; init; }

    /// <summary>Whether the patient has, or may have, or is about to get any.</summary>
    public bool IsHeld => Sealed > 0 || HasOpen || MayBeInUse || OnTheirWay.Count > 0;

    /// <summary>What a course holds of a lot.</summary>
    /// <param name="course">The course.</param>
    /// <param name="policy">The settings.</param>
    /// <param name="asOf">As of D means before D's doses; what is recorded of D counts.</param>
    /// <param name="lot">The lot.</param>
    /// <param name="productId">The product, of exactly which size; null: every one of this lot.</param>
    public static LotHolding Of(CourseSnapshot course, Policy policy, LocalDate asOf, string lot, string? productId)
    {
        var supply = CourseSupply.Of(course, policy, asOf, new Workbench());
        bool IsMeant(Fact fact) => string.Equals(fact.Lot, lot, StringComparison.Ordinal) && (productId is null || string.Equals(fact.ProductId, productId, StringComparison.Ordinal));
        var discards = course.Facts.Where(fact => fact.Kind == FactKind.Discarded && string.Equals(fact.Lot, lot, StringComparison.Ordinal)
            && (fact.ProductId is null || productId is null || fact.ProductId == productId) && !course.Facts.Any(other => other.Kind == FactKind.Void && other.Note == fact.Id)).ToArray();
        var fills = supply.ListArrivals().Where(arrival => IsMeant(arrival.Fill) && !discards.Any(thrown => thrown.On >= arrival.On)).ToArray();
        var (sealedOnes, open) = fills.Length > 0 ? supply.CountOfLot(asOf, lot, productId) : (0, false);
        var from = asOf.PlusDays(-(course.Course.FillDays ?? policy.FillDays));
        var mayBeInUse = sealedOnes == 0 && !open && fills.Any(arrival => IsUncounted(supply, arrival.Fill, arrival.On, from))
            && (fills.Any(arrival => arrival.On <= asOf && arrival.On >= from) || supply.CountOfLot(from, lot, productId) is not (0, false));
        return new LotHolding
        {
            Sealed = sealedOnes,
            HasOpen = open,
            MayBeInUse = mayBeInUse,
            OnTheirWay = [.. fills.Where(arrival => arrival.On > asOf).Select(arrival => arrival.Fill)],
            Waiting = [.. supply.Facts.Where(fact => fact.Kind == FactKind.Prepared && IsMeant(fact) && !KnownFacts.IsThrownAway(supply.Facts, fact) && !supply.Facts.Any(fill => fill.Kind == FactKind.Dispensed && fill.On >= fact.On))],
        };
    }

    /// <summary>The day on which a fill came, or is to come: as received, else as expected.</summary>
    public static LocalDate ArrivesOn(CourseSnapshot course, Fact fill) =>
        course.Facts.Where(fact => fact.Kind == FactKind.Received && fact.Note == fill.Id).Select(fact => (LocalDate?)fact.On).Min() ?? fill.Until ?? fill.On;

    // Came, is not past its date, and nobody has counted since it was last in hand.
    private static bool IsUncounted(CourseSupply supply, Fact fill, LocalDate arrivedOn, LocalDate from)
    {
        if (arrivedOn > supply.AsOf || fill.ExpiresOn < supply.AsOf)
            return false;
        var family = supply.Course.Products[fill.ProductId!].Family;
        var since = LocalDate.Max(arrivedOn, from);
        return !supply.Facts.Any(fact => fact.Kind == FactKind.Counted && fact.On >= since && supply.Course.Products[fact.ProductId!].Family == family);
    }
}
