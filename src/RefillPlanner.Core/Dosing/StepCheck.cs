using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>
/// The pharmacist's decisions about one step of one run: which approval counts, and on which days it is in force (supply model,
/// section 3).
/// </summary>
internal sealed class StepCheck
{
    private static readonly StepCheck None = new([], int.MaxValue);

    private readonly int _stepBeforeOn;
    private readonly Decision[] _approvals;
    private readonly Decision[] _holds;

    private StepCheck(Fact[] decisions, int stepBeforeOn)
    {
        _stepBeforeOn = stepBeforeOn;
        _approvals = [.. decisions.Where(check => check.Kind == FactKind.Approved).Select(check => Decision.Of(check, untilIfNone: int.MinValue))];
        _holds = [.. decisions.Where(check => check.Kind == FactKind.Held).Select(check => Decision.Of(check, untilIfNone: int.MinValue))];
        LastChange = _approvals.Select(approval => approval.InForceFrom).Concat(_holds.Select(hold => int.Max(hold.On, hold.Until))).DefaultIfEmpty(int.MinValue).Max();
    }

    /// <summary>The decisions about a step.</summary>
    /// <param name="run">The run whose holds and approvals count.</param>
    /// <param name="step">The step's number.</param>
    /// <param name="stepBeforeOn">First dosing day of the step before.</param>
    public static StepCheck Of(LadderRun run, int step, int stepBeforeOn) => run.Checks.Count == 0
        ? None
        : new StepCheck([.. run.Checks.Where(check => check.Step == step)], stepBeforeOn);

    /// <summary>From this day on nothing changes any more.</summary>
    public int LastChange { get; }

    /// <summary>Whether the step may be given on a day: a counting approval is in force, and no hold keeps it back.</summary>
    public bool IsInForce(int day) => !IsKeptBack(day) && _approvals.Any(approval => approval.InForceFrom <= day && Counts(approval, day));

    /// <summary>
    /// Whether approval may be assumed on a first dosing day that is still to come: nothing is on record that says otherwise.
    /// </summary>
    public bool MayBeAssumed(int day) => !IsKeptBack(day) && !HasOpenHold(day) && !_approvals.Any(approval => Counts(approval, day));

    /// <summary>Whether a counting approval is on record, in force already or from a later day.</summary>
    public bool IsApproved(int day) => _approvals.Any(approval => Counts(approval, day));

    /// <summary>The approvals that do not count: older than the step before, or not after every hold that came in time.</summary>
    /// <param name="begunOn">The step's first dosing day, after which a hold changes nothing; <see cref="DayNumber.Never"/>: it has not begun.</param>
    public IEnumerable<Fact> ListNotCurrent(int begunOn) =>
        _approvals.Where(approval => !IsCurrent(approval, begunOn)).Select(approval => approval.Fact);

    private bool IsKeptBack(int day) => _holds.Any(hold => hold.On <= day && day < hold.Until);

    // A hold without an end that no counting approval has lifted.
    private bool HasOpenHold(int day) =>
        _holds.Any(hold => hold.On <= day && hold.Fact.Until is null) && !_approvals.Any(approval => Counts(approval, day));

    private bool Counts(Decision approval, int day) =>
        approval.On <= day && IsCurrent(approval, day);

    // Dated on or after the first dosing day of the step before, and after every hold that has been recorded by a day.
    private bool IsCurrent(Decision approval, int day) =>
        approval.On >= _stepBeforeOn && !_holds.Any(hold => hold.On <= day && hold.On >= approval.On);

    private readonly record struct Decision(Fact Fact, int On, int Until)
    {
        public int InForceFrom => int.Max(On, Until);

        public static Decision Of(Fact fact, int untilIfNone) =>
            new(fact, DayNumber.Of(fact.On), fact.Until is null ? untilIfNone : DayNumber.Of(fact.Until.Value));
    }
}
