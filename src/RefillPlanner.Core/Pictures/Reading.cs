using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Pictures;

/// <summary>What one injection is read off: a barrel or the window of a pen.</summary>
public abstract record Reading
{
    /// <summary>What it reads, in words: the printed value, never a count of lines.</summary>
    public abstract string Say(Language language);
}

/// <summary>A mark on a barrel.</summary>
/// <param name="Barrel">The barrel.</param>
/// <param name="Mark">The mark; from zero to the barrel's capacity.</param>
public sealed record BarrelReading(Barrel Barrel, Volume Mark) : Reading
{
    /// <inheritdoc/>
    public override string Say(Language language) => DoseText.Mark(Mark, Barrel, language);
}

/// <summary>A number in the window of a pen.</summary>
/// <param name="Dialled">The number.</param>
/// <param name="Unit">Its unit.</param>
public sealed record DialReading(Amount Dialled, DoseUnit Unit) : Reading
{
    /// <inheritdoc/>
    public override string Say(Language language) => language == Language.Spanish
        ? $"marque {DoseText.Amount(Dialled, Unit, language)} en la pluma"
        : $"dial {DoseText.Amount(Dialled, Unit)} on the pen";
}
