using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>What a patient needs in hand before a journey.</summary>
public sealed record TravelPlan
{
    /// <summary>The run-out without a further fill; null: none is in sight.</summary>
    public LocalDate? RunOutOn { get; init; }

    /// <summary>The open day by which the supply is to be handed over; null: what is in hand lasts through the journey.</summary>
    public LocalDate? WantedOn { get; init; }

    /// <summary>How many days ago that was; 0: it has not passed.</summary>
    public int WantedDaysAgo { get; init; }

    /// <summary>Length of the fill in days: the usual one and the journey.</summary>
    public required int FillDays { get; init; }

    /// <summary>What to hand over.</summary>
    public required IReadOnlyList<RefillItem> Items { get; init; }

    /// <summary>The run-out with it; null: nothing is wanted.</summary>
    public LocalDate? LastsUntil { get; init; }

    /// <summary>The first day on which the early-fill rule lets it be; null: no billed fill is on record.</summary>
    public LocalDate? EarliestFillOn { get; init; }

    /// <summary>Whether that is on or before <see cref="WantedOn"/>. If not, travel may justify an override: a person decides.</summary>
    public required bool IsAllowed { get; init; }
}

/// <summary>Plans the supply for a journey [from, until) (planning model, section 8). It is asked, and changes nothing on record.</summary>
public static class TravelPlanning
{
    /// <summary>What is wanted before the journey: a refill for the usual fill and its length, in hand on the last open day before it begins.</summary>
    /// <param name="course">The course.</param>
    /// <param name="policy">The settings.</param>
    /// <param name="asOf">As of D means before D's doses.</param>
    /// <param name="from">First day away; after the as-of date.</param>
    /// <param name="until">First day back; after <paramref name="from"/>.</param>
    public static TravelPlan Of(CourseSnapshot course, Policy policy, LocalDate asOf, LocalDate from, LocalDate until)
    {
        var fillDays = (course.Course.FillDays ?? policy.FillDays) + Period.DaysBetween(from, until);
        var refill = Alignment.Plan(course, policy, asOf, fillDays);

        // Needed in hand only when the patient is back, on the day on which it would be needed anyway.
        if (refill is null || refill.NeedInHandOn >= until)
            return new TravelPlan { RunOutOn = refill?.ServesOn, FillDays = fillDays, Items = [], IsAllowed = true };
        var wantedOn = LocalDate.Min(refill.ReadyOn, new OpenDays(course.Site).Minus(from.PlusDays(-1), 0));
        return new TravelPlan
        {
            RunOutOn = refill.ServesOn,
            WantedOn = wantedOn,
            WantedDaysAgo = int.Max(0, Period.DaysBetween(wantedOn, asOf)),
            FillDays = fillDays,
            Items = refill.Items,
            LastsUntil = refill.ServesOn.PlusDays(refill.DaysSupply),
            EarliestFillOn = refill.EarliestFillOn,
            IsAllowed = refill.EarliestFillOn is not LocalDate earliest || earliest <= wantedOn,
        };
    }
}
