using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>How one dose leaves its container: what is read off the barrel (or dialled), what it delivers, what it takes.</summary>
public sealed record Draw
{
    /// <summary>How many injections the dose takes; 1 or more.</summary>
    public required int Injections { get; init; }

    /// <summary>
    /// The volume of each injection, larger first. Empty for a prefilled syringe, and where no mark may be shown
    /// (<see cref="FindingCode.StrengthBarrelMismatch"/>).
    /// </summary>
    public required IReadOnlyList<Volume> Marks { get; init; }

    /// <summary>The same marks as printed on a barrel marked in units; null for every other barrel, a pen, a prefilled syringe.</summary>
    public IReadOnlyList<decimal>? MarksUnits { get; init; }

    /// <summary>What each injection takes out of one container: mark, dead space and air, or mark and priming.</summary>
    public required IReadOnlyList<Volume> Needed { get; init; }

    /// <summary>What the marks deliver, in the product's unit, rounded half-even to 6 decimals.</summary>
    public required decimal Delivered { get; init; }

    /// <summary>100 (delivered - dose) / dose, signed, rounded half-even to 2 decimals.</summary>
    public required decimal ErrorPercent { get; init; }

    /// <summary>What is doubtful about it; the codes of section 2 of the supply model.</summary>
    public IReadOnlyList<Finding> Findings { get; init; } = [];

    /// <summary>The finding for which nothing may be computed; null: the dose can be given.</summary>
    public Finding? Stop { get; init; }
}
