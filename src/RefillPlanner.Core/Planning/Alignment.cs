using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>One course's part of a proposal to align.</summary>
public sealed record AlignedFill
{
    /// <summary>The course.</summary>
    public required string CourseId { get; init; }

    /// <summary>The run-out without the fill.</summary>
    public required LocalDate RunOutOn { get; init; }

    /// <summary>What to hand over; empty: what is in hand reaches the next common day.</summary>
    public required IReadOnlyList<RefillItem> Items { get; init; }

    /// <summary>The run-out with the fill.</summary>
    public required LocalDate LastsUntil { get; init; }

    /// <summary>The first day on which the early-fill rule lets it be; null: no billed fill is on record.</summary>
    public LocalDate? EarliestFillOn { get; init; }

    /// <summary>Whether the early-fill rule lets it be handed over on the common day.</summary>
    public required bool IsAllowed { get; init; }

    /// <summary>Whether it reaches the next common day: not where an undecided step or a beyond-use date ends the fill.</summary>
    public required bool Reaches { get; init; }
}

/// <summary>A proposal to hand over the supplies of several courses on one day. A person decides, and applies it by recording the fills.</summary>
/// <param name="NeedInHandOn">The earliest day on which one of them is needed in hand.</param>
/// <param name="HandOverOn">The common day: that day if open, else the open day before; the first open day from the as-of date on, if that has passed.</param>
/// <param name="NextOn">The next common day: when the first of them is needed in hand again.</param>
/// <param name="Fills">The fills, in order of course.</param>
/// <param name="LeftOut">Courses that cannot be aligned: they end, are covered beyond the horizon, or are not computed.</param>
public sealed record AlignmentProposal(LocalDate NeedInHandOn, LocalDate HandOverOn, LocalDate NextOn, IReadOnlyList<AlignedFill> Fills, IReadOnlyList<string> LeftOut);

/// <summary>Aligns the courses of a patient (planning model, section 8): one hand-over day, and no course runs out before it or before the next one.</summary>
public static class Alignment
{
    private const int LongestFillDays = 400;

    /// <summary>
    /// Proposes: the hand-over day is the earliest need in hand; that course gets its usual fill, which makes the next common day; each other one
    /// gets the smallest fill that reaches it.
    /// </summary>
    /// <param name="courses">The chosen courses of one patient; at least one.</param>
    /// <param name="policy">The settings.</param>
    /// <param name="asOf">As of D means before D's doses.</param>
    /// <returns>Null: fewer than two of them need a refill.</returns>
    public static AlignmentProposal? Of(IReadOnlyList<CourseSnapshot> courses, Policy policy, LocalDate asOf)
    {
        var plans = PlanningPipeline.Plan(courses, [], policy, asOf).Courses;
        var refills = courses.Zip(plans).Where(pair => pair.Second.Refill is not null).Select(pair => (Course: pair.First, Refill: pair.Second.Refill!)).ToArray();
        if (refills.Length < 2)
            return null;
        var first = refills.MinBy(pair => (pair.Refill.NeedInHandOn, pair.Course.Course.Id));
        var needInHandOn = first.Refill.NeedInHandOn;
        var openDays = new OpenDays(first.Course.Site);
        var handOverOn = LocalDate.Max(openDays.Minus(needInHandOn, 0), openDays.Plus(asOf, 0));
        var nextOn = first.Refill.ServesOn.PlusDays(first.Refill.DaysSupply - policy.SafetyDays);
        return new AlignmentProposal(
            needInHandOn,
            handOverOn,
            nextOn,
            [.. refills.Select(pair => Fill(pair.Course, pair.Refill, isFirst: pair == first, policy, asOf, handOverOn, nextOn)).OrderBy(fill => fill.CourseId, System.StringComparer.Ordinal)],
            [.. plans.Where(plan => plan.Refill is null).Select(plan => plan.CourseId)]);
    }

    private static AlignedFill Fill(CourseSnapshot course, RefillPlan refill, bool isFirst, Policy policy, LocalDate asOf, LocalDate handOverOn, LocalDate nextOn)
    {
        var coversUntil = nextOn.PlusDays(policy.SafetyDays);
        var days = Period.DaysBetween(refill.ServesOn, coversUntil);
        var wanted = isFirst ? refill : days <= 0 ? null : Plan(course, policy, asOf, int.Min(days, LongestFillDays));
        var lastsUntil = refill.ServesOn.PlusDays(wanted?.DaysSupply ?? 0);
        return new AlignedFill
        {
            CourseId = course.Course.Id,
            RunOutOn = refill.ServesOn,
            Items = wanted?.Items ?? [],
            LastsUntil = lastsUntil,
            EarliestFillOn = refill.EarliestFillOn,
            IsAllowed = wanted is null || refill.EarliestFillOn is not LocalDate earliest || earliest <= handOverOn,
            Reaches = lastsUntil >= coversUntil,
        };
    }

    // The refill of the course, were its fills of another length.
    internal static RefillPlan? Plan(CourseSnapshot course, Policy policy, LocalDate asOf, int fillDays) =>
        PlanningPipeline.Plan([course with { Course = course.Course with { FillDays = fillDays } }], [], policy, asOf).Courses[0].Refill;
}
