using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>Resolves one run after the other into stretches of dosing days. One use, one course.</summary>
/// <param name="pauses">The course's pauses.</param>
/// <param name="asOf">As-of day.</param>
/// <param name="lastDay">Last day resolved.</param>
/// <param name="heldBack">Index of the step held back for good; null: none.</param>
internal sealed class DosingDaysResolver(Pauses pauses, int asOf, int lastDay, int? heldBack)
{
    private const int UntilFurtherNotice = int.MaxValue;

    private readonly List<RunStep> _steps = new(4);
    private readonly List<Stretch> _stretches = new(8);

    /// <summary>All steps, in order.</summary>
    public RunStep[] TakeSteps() => [.. _steps];

    /// <summary>All stretches, in order.</summary>
    public Stretch[] TakeStretches() => [.. _stretches];

    /// <summary>Adds a run's steps and stretches.</summary>
    /// <returns>First day without doses because the run ends, by its last step or because the course stops; null: it goes on.</returns>
    public int? Resolve(LadderRun run)
    {
        var offset = _steps.Count;
        foreach (var step in run.Steps)
            _steps.Add(new RunStep(run, step));

        var border = int.Min(run.EndDay, lastDay < int.MaxValue ? lastDay + 1 : int.MaxValue);
        int? stops = run.EndDay == DayNumber.Never ? null : run.EndDay;
        var beginsOn = run.FirstDay;
        for (var index = offset; index < _steps.Count; index++)
        {
            var step = _steps[index].Step;
            if (FindBeginning(index, beginsOn, border, isFirst: index == offset) is not int first)
                return stops;

            _steps[index].Begin(first);
            if (AddDays(index, first, step.EveryDays, step.DoseDays ?? UntilFurtherNotice, border) is not int last)
                return stops;
            beginsOn = last + step.EveryDays;
        }

        return stops is int stop ? int.Min(stop, beginsOn) : beginsOn;
    }

    // The step's first dosing day, with the days of the step before on which it is held back; null: it does not come before the border.
    private int? FindBeginning(int index, int candidate, int border, bool isFirst)
    {
        var step = _steps[index];
        if (AddPausedDays(index, candidate, step.Step.EveryDays, border) is not int first)
            return null;
        if (isFirst || !step.AsksCheck)
            return first;

        var check = new StepCheck(step.Run, step.Step.Number, _steps[index - 1].BeginsOn!.Value);
        var isUndecided = first > asOf && check.MayBeAssumed(first);
        step.Decide(isUndecided && heldBack != index, check.IsApproved(int.Max(first, asOf)));
        if (heldBack != index && (isUndecided || check.IsInForce(first)))
            return first;

        step.HoldBack(first);
        return FindReleased(index, candidate, first, border, check);
    }

    // The first day in the rhythm of the step before, from the day held back on, on which an approval is in force.
    private int? FindReleased(int index, int candidate, int heldBackOn, int border, StepCheck check)
    {
        var before = index - 1;
        var every = _steps[before].Step.EveryDays;
        var day = candidate;
        while (day < heldBackOn)
            day += every;

        while (true)
        {
            if (AddPausedDays(before, day, every, border) is not int free)
                return null;
            if (heldBack != index && check.IsInForce(free))
                return free;
            if (heldBack == index || free >= check.LastChange)
            {
                AddDays(before, free, every, UntilFurtherNotice, border);
                return null;
            }

            AddStretch(before, free, every, 1, isPaused: false);
            day = free + every;
        }
    }

    // Adds the days from one on that are in a pause; returns the first that is not, or null when that is not before the border.
    private int? AddPausedDays(int step, int day, int every, int border)
    {
        while (day < border)
        {
            if (pauses.FindEnd(day) is not int end)
                return day;
            var count = CountBefore(day, every, int.Min(end, border));
            AddStretch(step, day, every, count, isPaused: true);
            day += count * every;
        }

        return null;
    }

    // Adds a number of dosing days that no pause skips; returns the last of them, or null when the border comes first.
    private int? AddDays(int step, int day, int every, int wanted, int border)
    {
        while (AddPausedDays(step, day, every, border) is int free)
        {
            var count = int.Min(wanted, CountBefore(free, every, int.Min(pauses.NextStart(free), border)));
            AddStretch(step, free, every, count, isPaused: false);
            wanted -= count;
            day = free + count * every;
            if (wanted == 0)
                return day - every;
        }

        return null;
    }

    private void AddStretch(int step, int day, int every, int count, bool isPaused)
    {
        if (_stretches.Count > 0 && _stretches[^1] is var last && last.Step == step && last.IsPaused == isPaused
            && last.EveryDays == every && last.LastDay + every == day)
        {
            _stretches[^1] = last with { Count = last.Count + count };
            return;
        }

        _stretches.Add(new Stretch(step, day, every, count, isPaused));
    }

    // How many of day, day + every, ... come before a border that is after day.
    private static int CountBefore(int day, int every, int border) => (border - day + every - 1) / every;
}
