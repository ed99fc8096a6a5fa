using System;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>
/// A course as the walk sees it, resolved for an as-of date and made of whole numbers: read from end to end, it lies in a few pieces of
/// memory that hold nothing else.
/// </summary>
internal sealed class WalkCourse
{
    /// <summary>A course with its dosing days.</summary>
    /// <param name="days">The dosing days.</param>
    /// <param name="demands">What each of their steps takes.</param>
    /// <param name="shelf">All products of the course.</param>
    /// <param name="events">What happens to the stock, in order.</param>
    /// <param name="asOf">As-of day.</param>
    /// <param name="splitDraws">Whether a dose may come out of two containers.</param>
    public WalkCourse(DosingDays days, StepDemand[] demands, ProductShelf shelf, WalkEvent[] events, int asOf, bool splitDraws)
    {
        (Shelf, Events, AsOf, SplitDraws) = (shelf, events, asOf, splitDraws);
        (EndDay, Present, StepBefore) = (days.EndDay ?? DayNumber.Never, days.Present, days.StepBefore);
        Stretches = new WalkStretch[days.Stretches.Length];
        for (var index = 0; index < Stretches.Length; index++)
            Stretches[index] = new WalkStretch(days.Stretches[index], demands[days.Stretches[index].Step]);
    }

    /// <summary>All products of the course.</summary>
    public ProductShelf Shelf { get; }

    /// <summary>What happens to the stock, in order.</summary>
    public WalkEvent[] Events { get; }

    /// <summary>The dosing days in order.</summary>
    public WalkStretch[] Stretches { get; }

    /// <summary>From this day on an uncovered dose is the run-out.</summary>
    public int AsOf { get; }

    /// <summary>First day without doses because the course ended; <see cref="DayNumber.Never"/>: that is not in sight.</summary>
    public int EndDay { get; }

    /// <summary>Index of the present step.</summary>
    public int Present { get; }

    /// <summary>Index of the step of the last dosing day before the as-of date; -1: none.</summary>
    public int StepBefore { get; }

    /// <summary>Whether a dose may come out of two containers.</summary>
    public bool SplitDraws { get; }

    /// <summary>What the first injection of the next dose takes, if that dose is of a family; null: it is not, or there is none.</summary>
    /// <param name="next">Where the walk stands.</param>
    /// <param name="family">Place of the family.</param>
    public long? FindNextNeeded(DosingPlace next, int family)
    {
        for (; next.Day != DayNumber.Never; next.Advance(1))
        {
            ref readonly var stretch = ref next.Stretch;
            if (stretch.Giving != Giving.Paused && !IsMissed(next.Day))
                return stretch.Family == family && stretch.FirstNeeded >= 0 ? stretch.FirstNeeded : null;
        }

        return null;
    }

    private bool IsMissed(int day)
    {
        foreach (ref readonly var happened in Events.AsSpan())
        {
            if (happened.Kind == WalkEventKind.Missed && happened.Day == day)
                return true;
        }

        return false;
    }
}

/// <summary>How the doses of a stretch of dosing days are given.</summary>
internal enum Giving
{
    /// <summary>One by one.</summary>
    ByDose,

    /// <summary>Whole days out of an open container: many doses come out of one.</summary>
    ByDay,

    /// <summary>Whole days out of a fill of prefilled syringes.</summary>
    BySyringe,

    /// <summary>Not at all: a finding stops the walk.</summary>
    Stopped,

    /// <summary>Not at all: a pause skips the days.</summary>
    Paused,
}

/// <summary>A stretch of dosing days with what each of them takes, in nanolitres and counts.</summary>
/// <param name="stretch">The dosing days.</param>
/// <param name="demand">What their step takes.</param>
internal readonly struct WalkStretch(in Stretch stretch, StepDemand demand)
{
    /// <summary>All that the step takes.</summary>
    public readonly StepDemand Demand = demand;

    /// <summary>What the first injection of a day takes; -1 where the first dose cannot be drawn.</summary>
    public readonly long FirstNeeded = demand.FirstNeeded;

    /// <summary>All that a day takes.</summary>
    public readonly long NeededPerDay = demand.NeededPerDay;

    /// <summary>All that a day gives.</summary>
    public readonly long UsedPerDay = demand.UsedPerDay;

    /// <summary>The first of the days.</summary>
    public readonly int FirstDay = stretch.FirstDay;

    /// <summary>Days from one to the next.</summary>
    public readonly int EveryDays = stretch.EveryDays;

    /// <summary>How many; 1 or more.</summary>
    public readonly int Count = stretch.Count;

    /// <summary>Index of the step.</summary>
    public readonly int Step = stretch.Step;

    /// <summary>Place of the family called for.</summary>
    public readonly int Family = demand.Family;

    /// <summary>Doses a day.</summary>
    public readonly int DosesPerDay = demand.Doses.Length;

    /// <summary>Injections a day.</summary>
    public readonly int InjectionsPerDay = demand.InjectionsPerDay;

    /// <summary>How they are given.</summary>
    public readonly Giving Giving = stretch.IsPaused ? Giving.Paused : demand.Giving;
}
