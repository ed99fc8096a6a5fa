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

    /// <summary>How many of them come before a day.</summary>
    public int CountBefore(int day) => day <= FirstDay ? 0 : (int)long.Min(Count, ((long)day - FirstDay + EveryDays - 1) / EveryDays);
}

/// <summary>A step of a run, when it begins, and what is known of its check. Set while the days are resolved, and only read from then on.</summary>
/// <param name="run">The run it belongs to.</param>
/// <param name="step">What was prescribed.</param>
internal sealed class RunStep(LadderRun run, Step step)
{
    /// <summary>The run it belongs to.</summary>
    public LadderRun Run => run;

    /// <summary>What was prescribed.</summary>
    public Step Step => step;

    /// <summary>Its first dosing day; null: it never comes within the horizon.</summary>
    public int? BeginsOn { get; private set; }

    /// <summary>The first dosing day on which it was held back; null: it was not.</summary>
    public int? HeldBackOn { get; private set; }

    /// <summary>Whether it is planned on an assumed approval: nobody has decided yet.</summary>
    public bool IsUndecided { get; private set; }

    /// <summary>Whether a counting approval is on record.</summary>
    public bool IsApproved { get; private set; }

    /// <summary>Whether a pharmacist's check is asked before it: from step 2 on, unless waived.</summary>
    public bool AsksCheck => Step.Number > 1 && Step.NeedsCheck;

    /// <summary>Its first dosing day is known.</summary>
    internal void Begin(int day) => BeginsOn = day;

    /// <summary>It is held back from a dosing day on.</summary>
    internal void HoldBack(int day) => HeldBackOn = day;

    /// <summary>What is known of its check.</summary>
    internal void Decide(bool isUndecided, bool isApproved) => (IsUndecided, IsApproved) = (isUndecided, isApproved);

    /// <summary>The holds that came when it had begun, asked or not.</summary>
    public IEnumerable<Fact> ListHoldsTooLate() => Run.Checks.Count == 0
        ? []
        : Run.Checks.Where(check => check.Kind == FactKind.Held && check.Step == Step.Number && DayNumber.Of(check.On) > (BeginsOn ?? DayNumber.Never));
}

/// <summary>
/// What was prescribed, resolved to the days on which it means a dose: the dosing days of a course on an as-of date (supply model,
/// section 3), in order, without gap or overlap, through the horizon.
/// </summary>
internal sealed class DosingDays
{
    private DosingDays(RunStep[] steps, Stretch[] stretches, Pauses pauses, int? endDay, int asOf)
    {
        Steps = steps;
        Stretches = stretches;
        Pauses = pauses;
        EndDay = endDay;
        Present = PresentStep(asOf);
        StepBefore = FindStepBefore(asOf) ?? -1;
    }

    /// <summary>All steps of all runs, in order.</summary>
    public RunStep[] Steps { get; }

    /// <summary>The dosing days in order.</summary>
    public Stretch[] Stretches { get; }

    /// <summary>Index of the present step on the as-of date: see <see cref="PresentStep"/>.</summary>
    public int Present { get; }

    /// <summary>Index of the step of the last dosing day before the as-of date that no pause skips; -1: none.</summary>
    public int StepBefore { get; }

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
        var pauses = Pauses.Of(facts);
        return Resolve(LadderRun.List(course, facts), pauses, DayNumber.Of(asOf), lastDay, heldBack);
    }

    /// <summary>The same course with a step held back for good from its first dosing day.</summary>
    /// <param name="asOf">As-of day.</param>
    /// <param name="lastDay">The last day resolved, as a number.</param>
    /// <param name="step">Index of the step.</param>
    public DosingDays HoldBack(int asOf, int lastDay, int step)
    {
        var runs = new LadderRun[Steps[^1].Run.Index + 1];
        foreach (var known in Steps)
            runs[known.Run.Index] = known.Run;
        return Resolve(runs, Pauses, asOf, lastDay, step);
    }

    private static DosingDays Resolve(IReadOnlyList<LadderRun> runs, Pauses pauses, int asOf, int lastDay, int? heldBack)
    {
        var resolver = new DosingDaysResolver(pauses, asOf, lastDay, heldBack);
        int? endDay = null;
        for (var index = 0; index < runs.Count; index++)
            endDay = resolver.Resolve(runs[index]);
        return new DosingDays(resolver.TakeSteps(), resolver.TakeStretches(), pauses, endDay <= lastDay ? endDay : null, asOf);
    }

    /// <summary>
    /// Index of the step of the first dosing day on or after a day that no pause skips, else of the last one before it, else of step 1
    /// of the run in force on that day.
    /// </summary>
    private int PresentStep(int day)
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
    private int? FindStepBefore(int day)
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
        for (var index = 0; index < Steps.Length; index++)
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
        for (var index = 0; index < Steps.Length; index++)
        {
            if (Steps[index].Step.Number == 1 && Steps[index].Run.FirstDay <= day)
                found = index;
        }

        return found;
    }
}
