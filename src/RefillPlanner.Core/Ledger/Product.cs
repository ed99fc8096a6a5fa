using System;

namespace RefillPlanner.Core.Ledger;

/// <summary>The unit in which a product is dosed. Mass and units never convert into each other.</summary>
public enum DoseUnit
{
    /// <summary>Milligrams.</summary>
    Mg,

    /// <summary>Micrograms; 1 mg = 1,000 mcg.</summary>
    Mcg,

    /// <summary>Units of biological activity, as of insulin.</summary>
    Units,
}

/// <summary>What a container is and how medicine leaves it (supply model, section 1).</summary>
public enum ProductKind
{
    /// <summary>A vial drawn from many times, limited by volume, in-use days and expiry.</summary>
    MultiDoseVial,

    /// <summary>A vial for one dose; what is left after it is discarded at once.</summary>
    SingleDoseVial,

    /// <summary>A pen dialled in steps, primed before each injection.</summary>
    Pen,

    /// <summary>A syringe filled with one fixed dose.</summary>
    PrefilledSyringe,
}

/// <summary>How the in-use days of an opened container are counted. Both readings are in real use; it is set per product.</summary>
public enum InUseCount
{
    /// <summary>Opened on day O with limit N: used through O+N-1, discarded on O+N. The default, the cautious reading.</summary>
    OpeningDayIsDay1,

    /// <summary>Opened on day O with limit N: used through O+N, discarded on O+N+1.</summary>
    OpeningDayIsDay0,
}

/// <summary>
/// A strength, kept as the exact fraction amount / volume: 2 mg in 1.5 mL is 4/3 mg/mL, whatever a label rounds.
/// </summary>
/// <param name="Amount">Amount of drug in <paramref name="Per"/>; above zero.</param>
/// <param name="Per">The volume that holds it; above zero.</param>
public readonly record struct Strength(Amount Amount, Volume Per)
{
    /// <summary>Whether two strengths are the same fraction.</summary>
    public bool Equals(Strength other) => (Int128)Amount.Billionths * other.Per.Nanolitres == (Int128)other.Amount.Billionths * Per.Nanolitres;

    /// <inheritdoc/>
    public override int GetHashCode()
    {
        var amount = Amount.Billionths;
        var per = Per.Nanolitres;
        for (var (a, b) = (amount, per); ; (a, b) = (b, a % b))
        {
            if (b == 0)
                return a == 0 ? 0 : HashCode.Combine(amount / a, per / a);
        }
    }
}

/// <summary>A medicine in a kind of container, with what limits its use. Volume and strength of a powder are those after reconstitution.</summary>
public sealed record Product
{
    /// <summary>The writer's id of the product.</summary>
    public required string Id { get; init; }

    /// <summary>Generic name of the drug.</summary>
    public required string Drug { get; init; }

    /// <summary>What the container is.</summary>
    public required ProductKind Kind { get; init; }

    /// <summary>The unit of every amount of this product.</summary>
    public required DoseUnit Unit { get; init; }

    /// <summary>Strength; null only for a prefilled syringe.</summary>
    public Strength? Strength { get; init; }

    /// <summary>Labelled volume of one container, overfill never counted; null only for a prefilled syringe.</summary>
    public Volume? Volume { get; init; }

    /// <summary>The fixed dose of a prefilled syringe; null for every other kind.</summary>
    public Amount? DoseAmount { get; init; }

    /// <summary>Days of use after first puncture, 1 or more; null: only the expiry limits it.</summary>
    public int? InUseDays { get; init; }

    /// <summary>How <see cref="InUseDays"/> are counted.</summary>
    public InUseCount InUseCount { get; init; }

    /// <summary>The step in which a pen is dialled; null for every other kind.</summary>
    public Amount? DialStep { get; init; }

    /// <summary>The most that a pen gives in one injection; null for every other kind.</summary>
    public Amount? DialMax { get; init; }

    /// <summary>Pushed out of a pen before each injection.</summary>
    public Volume Prime { get; init; }

    /// <summary>Pushed out of a pen once, when it is opened.</summary>
    public Volume FirstPrime { get; init; }

    /// <summary>Days from preparing to the beyond-use date; null: fresh containers carry none.</summary>
    public int? BeyondUseDays { get; init; }

    /// <summary>Open days that preparing takes; 0 or more.</summary>
    public int PrepareOpenDays { get; init; }

    /// <summary>Whether it must stay cold on its way.</summary>
    public bool Cold { get; init; }

    /// <summary>Whether its used sharps need a container of their own.</summary>
    public bool Hazardous { get; init; }

    /// <summary>The highest single dose; null: none stated.</summary>
    public Amount? MaxDose { get; init; }

    /// <summary>The shortest lawful interval of dosing days; null: none stated. Below it nothing is computed.</summary>
    public int? MinEveryDays { get; init; }

    /// <summary>The product of which this is another size; null: it is its own. One family is one stock with one open container.</summary>
    public string? SizeOf { get; init; }

    /// <summary>The label's words in English; null: none.</summary>
    public string? LabelEn { get; init; }

    /// <summary>The label's words in Spanish; null: none.</summary>
    public string? LabelEs { get; init; }

    /// <summary>What the pharmacist asks before a step-up (tolerability, monitoring); null: none.</summary>
    public string? CheckPrompts { get; init; }

    /// <summary>The id that names the family: <see cref="SizeOf"/>, or the product itself.</summary>
    public string Family => SizeOf ?? Id;
}
