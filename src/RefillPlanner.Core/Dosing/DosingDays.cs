using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>Some dosing days in a row of one step, all given to be or all in a pause.</summary>
/// <param name="Step">Index into <see cref="DosingDays.Steps"/>.</param>
/// <param name="FirstDay">The first day, as a number.</param>
/// <param name="EveryDays">Days from one to the next.</param>
/// <param name="Count">How many; 1 or more.</param>
/// <param name="IsPaused">Whether a pause skips them.</param>
internal readonly record struct Stretch(int Step, int FirstDay, int EveryDays, int Count, bool IsPaused)
{
    /// <summary>The last of the days.</summary>
    public int LastDay => FirstDay + (Count - 1) * EveryDays;
}

/// <summary>A step of a run, when it begins, and what is known of its check.</summary>
/// <param name="Run">The run it belongs to.</param>
/// <param name="Step">What was prescribed.</param>
internal sealed record RunStep(LadderRun Run, Step Step)
{
    /// <summary>Its first dosing day; null: it never comes within the horizon.</summary>
    public int? BeginsOn { get; init; }

    /// <summary>The first dosing day on which it was held back; null: it was not.</summary>
    public int? HeldBackOn { get; init; }

    /// <summary>Whether it is planned on an assumed approval: nobody has decided yet.</summary>
    public bool IsUndecided { get; init; }

    /// <summary>Whether a counting approval is on record.</summary>
    public bool IsApproved { get; init; }

    /// <summary>Whether a pharmacist's check is asked before it: from step 2 on, unless waived.</summary>
    public bool AsksCheck => Step.Number > 1 && Step.NeedsCheck;

    /// <summary>The holds that came when it had begun, asked or not.</summary>
    public IEnumerable<Fact> ListHoldsTooLate() =>
        Run.Checks.Where(check => check.Kind == FactKind.Held && check.Step == Step.Number && DayNumber.Of(check.On) > (BeginsOn ?? DayNumber.Never));
}

/// <summary>
/// What was prescribed, resolved to the days on which it means a dose: the dosing days of a course on an as-of date (supply model,
/// section 3), in order, without gap or overlap, through the horizon.
/// </summary>
internal sealed class DosingDays
{
    private DosingDays(IReadOnlyList<RunStep> steps, IReadOnlyList<Stretch> stretches, Pauses pauses, int? endDay)
    {
        Steps = steps;
        Stretches = stretches;
        Pauses = pauses;
        EndDay = endDay;
    }

    /// <summary>All steps of all runs, in order.</summary>
    public IReadOnlyList<RunStep> Steps { get; }

    /// <summary>The dosing days in order.</summary>
    public IReadOnlyList<Stretch> Stretches { get; }

    /// <summary>The days on which the course is paused.</summary>
    public Pauses Pauses { get; }

    /// <summary>First day without doses because the course ended; null: it does not end within the horizon.</summary>
    public int? EndDay { get; }

    /// <summary>Resolves the dosing days.</summary>
    /// <param name="course">The course.</param>
    /// <param name="facts">Its known facts, in order: see <see cref="KnownFacts"/>.</param>
    /// <param name="asOf">Checks of steps that begin after this date may be assumed.</param>
    /// <param name="lastDay">The last day resolved, as a number.</param>
    /// <param name="heldBack">Index of a step to be held back for good from its first dosing day; null: none.</param>
    public static DosingDays Resolve(CourseSnapshot course, IReadOnlyList<Fact> facts, LocalDate asOf, int lastDay, int? heldBack = null)
    {
        var runs = LadderRun.List(course, facts);
        var pauses = Pauses.Of(facts);
        var resolver = new DosingDaysResolver(pauses, DayNumber.Of(asOf), lastDay, heldBack);
        int? endDay = null;
        foreach (var run in runs)
            endDay = resolver.Resolve(run);
        return new DosingDays(resolver.Steps, resolver.Stretches, pauses, endDay <= lastDay ? endDay : null);
    }

    /// <summary>
    /// Index of the step of the first dosing day on or after a day that no pause skips, else of the last one before it, else of step 1
    /// of the run in force on that day.
    /// </summary>
    public int PresentStep(int day)
    {
        int? last = null;
        foreach (var stretch in Stretches)
        {
            if (stretch.IsPaused)
                continue;
            last = stretch.Step;
            if (stretch.LastDay >= day)
                break;
        }

        return last ?? FindRunInForce(day);
    }

    /// <summary>Index of the step of the last dosing day before a day that no pause skips; null: none.</summary>
    public int? FindStepBefore(int day)
    {
        int? step = null;
        foreach (var stretch in Stretches)
        {
            if (!stretch.IsPaused && stretch.FirstDay < day)
                step = stretch.Step;
        }

        return step;
    }

    /// <summary>Index of the earliest step that is planned on an assumed approval; null: no step waits for a check.</summary>
    public int? FindUndecided()
    {
        for (var index = 0; index < Steps.Count; index++)
        {
            if (Steps[index].IsUndecided)
                return index;
        }

        return null;
    }

    // Index of step 1 of the run in force on a day; of the first run when none has begun.
    private int FindRunInForce(int day)
    {
        var found = 0;
        for (var index = 0; index < Steps.Count; index++)
        {
            if (Steps[index].Step.Number == 1 && Steps[index].Run.FirstDay <= day)
                found = index;
        }

        return found;
    }
}
