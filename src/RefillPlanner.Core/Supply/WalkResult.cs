namespace RefillPlanner.Core.Supply;

/// <summary>Dosing days before the as-of date on which injections were given.</summary>
/// <param name="Step">Index of their step.</param>
/// <param name="FirstDay">The first of them.</param>
/// <param name="EveryDays">Days from one to the next.</param>
/// <param name="Count">How many.</param>
/// <param name="Injections">Injections on each.</param>
internal readonly record struct GivenDays(int Step, int FirstDay, int EveryDays, int Count, int Injections)
{
    /// <summary>The last of the days.</summary>
    public int LastDay => FirstDay + (Count - 1) * EveryDays;
}

/// <summary>How a walk ended.</summary>
/// <param name="Outcome">How it ended.</param>
/// <param name="Day">The last day walked: the run-out, the course's end, the horizon, or the day of the stopping dose.</param>
/// <param name="Step">Index of the step whose dose ended the walk; -1: none did.</param>
/// <param name="Tally">What was added up.</param>
/// <param name="LeftOver">What is left in containers, in nanolitres.</param>
/// <param name="BindingLimit">What ended the supply; null unless it runs out.</param>
/// <param name="MissedFrom">First day of the last row of dosing days not given that <see cref="Ledger.FindingCode.DosesMissed"/> speaks of; null: none.</param>
internal readonly record struct WalkResult(Outcome Outcome, int Day, int Step, in Tally Tally, long LeftOver, BindingLimit? BindingLimit, int? MissedFrom);
