using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>How a course's walk ended.</summary>
public enum Outcome
{
    /// <summary>A dose cannot be given in full: see <see cref="SupplyOutcome.RunOutOn"/>.</summary>
    RunsOut,

    /// <summary>The course ends first: see <see cref="SupplyOutcome.EndsOn"/>.</summary>
    Ends,

    /// <summary>Neither happens within the horizon.</summary>
    BeyondHorizon,

    /// <summary>A finding stops the computation; a person must look first.</summary>
    NotComputed,
}

/// <summary>What ended the supply.</summary>
public enum BindingLimit
{
    /// <summary>It was drawn out.</summary>
    Volume,

    /// <summary>An opened container passed its last day of use with a dose still in it.</summary>
    InUse,

    /// <summary>A container passed its beyond-use date with a dose still in it.</summary>
    Expiry,

    /// <summary>There is stock, but of another product than the step calls for.</summary>
    Product,
}

/// <summary>What is reported of one course on one as-of date (supply model, section 5). As of D means before D's doses.</summary>
public sealed record SupplyOutcome
{
    /// <summary>How the walk ended.</summary>
    public required Outcome Outcome { get; init; }

    /// <summary>Ladder of the step reported.</summary>
    public required int Ladder { get; init; }

    /// <summary>Step of the first dosing day on or after the as-of date, else of the last one before it, else 1.</summary>
    public required int Step { get; init; }

    /// <summary>How each dose of that step's dosing day is drawn, in order.</summary>
    public required IReadOnlyList<Draw> Draws { get; init; }

    /// <summary>Date of the first dose that cannot be given in full, on or after the as-of date; null unless it runs out.</summary>
    public LocalDate? RunOutOn { get; init; }

    /// <summary>The same if the coming undecided step is held back; null if none waits, or it does not run out so.</summary>
    public LocalDate? RunOutIfHeldOn { get; init; }

    /// <summary>First day without doses because the course ended; null unless it ends.</summary>
    public LocalDate? EndsOn { get; init; }

    /// <summary>Date of the last covered dose from the as-of date on; null if none.</summary>
    public LocalDate? LastCoveredOn { get; init; }

    /// <summary>Covered doses from the as-of date on.</summary>
    public int DosesCovered { get; init; }

    /// <summary>Drawn for doses from the as-of date to the end of the walk, both days included.</summary>
    public Volume Used { get; init; }

    /// <summary>Left in the needle or pushed out, over the same days.</summary>
    public Volume Lost { get; init; }

    /// <summary>Thrown away, over the same days.</summary>
    public Volume Discarded { get; init; }

    /// <summary>Still in containers at the end of the walk, of any product of the course.</summary>
    public Volume LeftOver { get; init; }

    /// <summary>Containers opened over the same days; a prefilled syringe used counts as one.</summary>
    public int ContainersOpened { get; init; }

    /// <summary>What ended the supply; null unless it runs out.</summary>
    public BindingLimit? BindingLimit { get; init; }

    /// <summary>What is doubtful, each code with its text.</summary>
    public IReadOnlyList<Finding> Findings { get; init; } = [];
}
