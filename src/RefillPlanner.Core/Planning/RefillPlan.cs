using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>Containers to dispense.</summary>
/// <param name="ProductId">Which, of exactly which size.</param>
/// <param name="Step">The step that calls for them.</param>
/// <param name="Containers">How many; 1 or more.</param>
public sealed record RefillItem(string ProductId, int Step, int Containers);

/// <summary>What goes with the containers.</summary>
public enum RefillSupplyKind
{
    /// <summary>The syringe of a step.</summary>
    Syringe,

    /// <summary>A separate needle to draw up with.</summary>
    DrawUpNeedle,

    /// <summary>A needle for a pen.</summary>
    PenNeedle,

    /// <summary>A pad for the skin.</summary>
    Pad,

    /// <summary>The next sharps container.</summary>
    SharpsContainer,
}

/// <summary>Things that go with the containers.</summary>
/// <param name="Kind">What.</param>
/// <param name="DeviceId">The device, for a syringe; null for everything else.</param>
/// <param name="Count">How many; 1 or more.</param>
public sealed record RefillSupply(RefillSupplyKind Kind, string? DeviceId, int Count);

/// <summary>
/// The dates and contents of the next refill (planning model, section 2). Dates are where the rules put them, and may lie in the past.
/// </summary>
public sealed record RefillPlan
{
    /// <summary>The run-out that it serves: the earlier of the two.</summary>
    public required LocalDate ServesOn { get; init; }

    /// <summary>The product that the walk called for on that day.</summary>
    public required string ProductId { get; init; }

    /// <summary>How it reaches the patient.</summary>
    public required Handover Handover { get; init; }

    /// <summary>Last day on which it may come into the patient's hands.</summary>
    public required LocalDate NeedInHandOn { get; init; }

    /// <summary>The open day on which it is handed over or given to the carrier.</summary>
    public required LocalDate ReadyOn { get; init; }

    /// <summary>The open day on which preparing begins.</summary>
    public required LocalDate PrepareOn { get; init; }

    /// <summary>The open day on which the patient is asked.</summary>
    public required LocalDate ContactOn { get; init; }

    /// <summary>The open day on which the prescriber is asked for a renewal; null: none is needed.</summary>
    public LocalDate? RenewOn { get; init; }

    /// <summary>Why a renewal is needed; null: none is.</summary>
    public string? RenewBecause { get; init; }

    /// <summary>Refills left under the prescription in force; null: none is on record.</summary>
    public int? RefillsLeft { get; init; }

    /// <summary>The first day on which the early-fill rule lets it be; null: no billed fill is on record.</summary>
    public LocalDate? EarliestFillOn { get; init; }

    /// <summary>Days by which its first date has passed on the as-of date; 0: none.</summary>
    public required int LateDays { get; init; }

    /// <summary>Days from the run-out to the next one with the items added, at most 400.</summary>
    public required int DaysSupply { get; init; }

    /// <summary>What to dispense; empty while an undecided step leaves nothing to be prepared.</summary>
    public required IReadOnlyList<RefillItem> Items { get; init; }

    /// <summary>What goes with it.</summary>
    public required IReadOnlyList<RefillSupply> Supplies { get; init; }

    /// <summary>The date from which it is late: the renewal's, where there is one, else the contact's.</summary>
    public LocalDate FirstDate => RenewOn ?? ContactOn;
}

/// <summary>The check before the next dose increase (planning model, section 3).</summary>
public sealed record StepUpPlan
{
    /// <summary>The ladder that the step is on.</summary>
    public required int Ladder { get; init; }

    /// <summary>The step's number.</summary>
    public required int Step { get; init; }

    /// <summary>Its first dosing day.</summary>
    public required LocalDate StartsOn { get; init; }

    /// <summary>The open day by which a pharmacist decides.</summary>
    public required LocalDate CheckByOn { get; init; }

    /// <summary>The open day of the first alert.</summary>
    public required LocalDate AlertOn { get; init; }

    /// <summary>Whether a counting approval is on record.</summary>
    public required bool Approved { get; init; }
}

/// <summary>A container whose last day of use comes while something is still in it.</summary>
/// <param name="ProductId">Which.</param>
/// <param name="LastUseOn">Last day of use.</param>
/// <param name="DiscardOn">The day after: it is thrown away.</param>
/// <param name="Left">What is thrown away.</param>
/// <param name="Containers">How many.</param>
/// <param name="IsOpen">Whether it is open; sealed ones pass their beyond-use date.</param>
public sealed record DiscardPlan(string ProductId, LocalDate LastUseOn, LocalDate DiscardOn, Volume Left, int Containers, bool IsOpen);
