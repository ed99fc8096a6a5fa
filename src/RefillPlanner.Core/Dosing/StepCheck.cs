using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>
/// The pharmacist's decisions about one step of one run: which approval counts, and on which days it is in force (supply model,
/// section 3).
/// </summary>
/// <param name="run">The run whose holds and approvals count.</param>
/// <param name="step">The step's number.</param>
/// <param name="stepBeforeOn">First dosing day of the step before.</param>
internal readonly struct StepCheck(LadderRun run, int step, int stepBeforeOn)
{
    /// <summary>From this day on nothing changes any more.</summary>
    public int LastChange
    {
        get
        {
            var last = int.MinValue;
            for (var index = 0; index < run.Checks.Count; index++)
            {
                if (run.Checks[index].Step == step)
                    last = int.Max(last, InForceFrom(run.Checks[index]));
            }

            return last;
        }
    }

    /// <summary>Whether the step may be given on a day: a counting approval is in force, and no hold keeps it back.</summary>
    public bool IsInForce(int day) => HasApproval(day, mustBeInForce: true) && !IsKeptBack(day);

    /// <summary>
    /// Whether approval may be assumed on a first dosing day that is still to come: nothing is on record that says otherwise.
    /// </summary>
    public bool MayBeAssumed(int day)
    {
        if (run.Checks.Count == 0)
            return true;
        return !IsKeptBack(day) && !HasApproval(day, mustBeInForce: false) && !HasHold(day, mustBeOpen: true, notBefore: int.MinValue);
    }

    /// <summary>Whether a counting approval is on record, in force already or from a later day.</summary>
    public bool IsApproved(int day) => HasApproval(day, mustBeInForce: false);

    /// <summary>The approvals that do not count: older than the step before, or not after every hold that came in time.</summary>
    /// <param name="begunOn">The step's first dosing day, after which a hold changes nothing; <see cref="DayNumber.Never"/>: it has not begun.</param>
    public IReadOnlyList<Fact> ListNotCurrent(int begunOn)
    {
        List<Fact>? old = null;
        for (var index = 0; index < run.Checks.Count; index++)
        {
            if (IsMeant(run.Checks[index], FactKind.Approved) && !IsCurrent(run.Checks[index], begunOn))
                (old ??= []).Add(run.Checks[index]);
        }

        return old is null ? [] : old;
    }

    private bool IsMeant(Fact check, FactKind kind) => check.Kind == kind && check.Step == step;

    private bool IsKeptBack(int day)
    {
        for (var index = 0; index < run.Checks.Count; index++)
        {
            var check = run.Checks[index];
            if (IsMeant(check, FactKind.Held) && check.Until is { } until && DayNumber.Of(check.On) <= day && day < DayNumber.Of(until))
                return true;
        }

        return false;
    }

    // A counting approval, dated by a day; in force on it, or from whatever day.
    private bool HasApproval(int day, bool mustBeInForce)
    {
        for (var index = 0; index < run.Checks.Count; index++)
        {
            var check = run.Checks[index];
            if (IsMeant(check, FactKind.Approved) && DayNumber.Of(check.On) <= day && (!mustBeInForce || InForceFrom(check) <= day) && IsCurrent(check, day))
                return true;
        }

        return false;
    }

    // Dated on or after the first dosing day of the step before, and after every hold that has been recorded by a day.
    private bool IsCurrent(Fact approval, int day)
    {
        var on = DayNumber.Of(approval.On);
        return on >= stepBeforeOn && !HasHold(day, mustBeOpen: false, notBefore: on);
    }

    // A hold recorded by a day, but not before another.
    private bool HasHold(int day, bool mustBeOpen, int notBefore)
    {
        for (var index = 0; index < run.Checks.Count; index++)
        {
            var check = run.Checks[index];
            if (IsMeant(check, FactKind.Held) && (!mustBeOpen || check.Until is null) && DayNumber.Of(check.On) is var on && on <= day && on >= notBefore)
                return true;
        }

        return false;
    }

    private static int InForceFrom(Fact check) => check.Until is { } until ? int.Max(DayNumber.Of(check.On), DayNumber.Of(until)) : DayNumber.Of(check.On);
}
