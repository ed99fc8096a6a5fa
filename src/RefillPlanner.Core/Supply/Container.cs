using System;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Sealed containers of one fill in the patient's hands, alike in all that matters.</summary>
/// <param name="Product">Place of the product, of exactly which size.</param>
/// <param name="ExpiresOn">Last day of use; <see cref="DayNumber.Never"/> if they carry none.</param>
/// <param name="ArrivedOn">The day on which they came.</param>
/// <param name="Source">The fact that brought them.</param>
/// <param name="Lot">Their lot; null: not on record.</param>
/// <param name="Count">How many; 1 or more.</param>
internal readonly record struct SealedContainers(int Product, int ExpiresOn, int ArrivedOn, Fact Source, string? Lot, int Count)
{
    /// <summary>
    /// The order in which the walk takes them: soonest expiry (none last), earlier arrival, fact id. Within one fill by number, which
    /// nothing can tell apart.
    /// </summary>
    public static int CompareTaking(in SealedContainers left, in SealedContainers right)
    {
        if (left.ExpiresOn != right.ExpiresOn)
            return left.ExpiresOn < right.ExpiresOn ? -1 : 1;
        if (left.ArrivedOn != right.ArrivedOn)
            return left.ArrivedOn < right.ArrivedOn ? -1 : 1;
        return string.CompareOrdinal(left.Source.Id, right.Source.Id);
    }
}

/// <summary>The open container of a family.</summary>
/// <param name="Product">Place of the product, of exactly which size.</param>
/// <param name="ExpiresOn">Beyond-use date; <see cref="DayNumber.Never"/> if it carries none.</param>
/// <param name="InUseLastOn">Last day of use by the in-use limit; <see cref="DayNumber.Never"/> without one.</param>
/// <param name="Lot">Its lot; null: not on record.</param>
/// <param name="OpenedOn">Day of first puncture.</param>
/// <param name="Left">Volume left, in nanolitres.</param>
internal readonly record struct OpenContainer(int Product, int ExpiresOn, int InUseLastOn, string? Lot, int OpenedOn, long Left)
{
    /// <summary>Last day of use: the earlier of the in-use limit's and the beyond-use date.</summary>
    public int LastOn => int.Min(InUseLastOn, ExpiresOn);
}
