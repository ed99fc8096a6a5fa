using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>A sealed container in the patient's hands.</summary>
/// <param name="Product">What it is, of exactly which size.</param>
/// <param name="ExpiresOn">Last day of use; <see cref="DayNumber.Never"/> if it carries none.</param>
/// <param name="Lot">Its lot; null: not on record.</param>
/// <param name="ArrivedOn">The day on which it came.</param>
/// <param name="FactId">The fact that brought it.</param>
/// <param name="Number">Its number in that fact.</param>
internal sealed record SealedContainer(Product Product, int ExpiresOn, string? Lot, int ArrivedOn, string FactId, int Number)
{
    /// <summary>Labelled volume in nanolitres; 0 for a prefilled syringe.</summary>
    public long Volume => Product.Volume?.Nanolitres ?? 0;

    /// <summary>
    /// The order in which the walk takes them: soonest expiry (none last), earlier arrival, fact id, number.
    /// </summary>
    public static readonly IComparer<SealedContainer> TakingOrder = Comparer<SealedContainer>.Create((left, right) =>
    {
        var order = left.ExpiresOn.CompareTo(right.ExpiresOn);
        if (order == 0)
            order = left.ArrivedOn.CompareTo(right.ArrivedOn);
        if (order == 0)
            order = string.CompareOrdinal(left.FactId, right.FactId);
        return order == 0 ? left.Number.CompareTo(right.Number) : order;
    });
}

/// <summary>The open container of a family.</summary>
/// <param name="Product">What it is, of exactly which size.</param>
/// <param name="ExpiresOn">Beyond-use date; <see cref="DayNumber.Never"/> if it carries none.</param>
/// <param name="Lot">Its lot; null: not on record.</param>
/// <param name="OpenedOn">Day of first puncture.</param>
/// <param name="Left">Volume left, in nanolitres.</param>
internal sealed record OpenContainer(Product Product, int ExpiresOn, string? Lot, int OpenedOn, long Left)
{
    /// <summary>Last day of use by the in-use limit; <see cref="DayNumber.Never"/> without one.</summary>
    public int InUseLastOn => Product.InUseDays is not int limit
        ? DayNumber.Never
        : Product.InUseCount == InUseCount.OpeningDayIsDay1 ? OpenedOn + limit - 1 : OpenedOn + limit;

    /// <summary>Last day of use: the earlier of the in-use limit's and the beyond-use date.</summary>
    public int LastOn => int.Min(InUseLastOn, ExpiresOn);
}
