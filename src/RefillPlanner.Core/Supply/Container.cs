using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Sealed containers of one fill in the patient's hands, alike in all that matters.</summary>
/// <param name="product">Place of the product, of exactly which size.</param>
/// <param name="expiresOn">Last day of use; <see cref="DayNumber.Never"/> if they carry none.</param>
/// <param name="arrivedOn">The day on which they came.</param>
/// <param name="source">Place of what brought them among the events of the walk; after the last one: planned, not on record.</param>
/// <param name="count">How many; 1 or more.</param>
/// <param name="fresh">What one of them holds when it was just opened, in nanolitres.</param>
internal struct SealedContainers(int product, int expiresOn, int arrivedOn, int source, int count, long fresh)
{
    /// <summary>Place of the product, of exactly which size.</summary>
    public readonly int Product = product;

    /// <summary>Last day of use; <see cref="DayNumber.Never"/> if they carry none.</summary>
    public readonly int ExpiresOn = expiresOn;

    /// <summary>The day on which they came.</summary>
    public readonly int ArrivedOn = arrivedOn;

    /// <summary>Place of what brought them among the events of the walk; after the last one: planned, not on record.</summary>
    public readonly int Source = source;

    /// <summary>How many; 1 or more.</summary>
    public int Count = count;

    /// <summary>What one of them holds when it was just opened, in nanolitres.</summary>
    public readonly long Fresh = fresh;
}

/// <summary>The open container of a family.</summary>
/// <param name="product">Place of the product, of exactly which size.</param>
/// <param name="expiresOn">Beyond-use date; <see cref="DayNumber.Never"/> if it carries none.</param>
/// <param name="inUseLastOn">Last day of use by the in-use limit; <see cref="DayNumber.Never"/> without one.</param>
/// <param name="source">Place of what brought it among the events of the walk; -1: not known.</param>
/// <param name="openedOn">Day of first puncture.</param>
/// <param name="left">Volume left, in nanolitres.</param>
internal struct OpenContainer(int product, int expiresOn, int inUseLastOn, int source, int openedOn, long left)
{
    /// <summary>Place of the product, of exactly which size.</summary>
    public readonly int Product = product;

    /// <summary>Beyond-use date; <see cref="DayNumber.Never"/> if it carries none.</summary>
    public readonly int ExpiresOn = expiresOn;

    /// <summary>Last day of use by the in-use limit; <see cref="DayNumber.Never"/> without one.</summary>
    public readonly int InUseLastOn = inUseLastOn;

    /// <summary>Last day of use: the earlier of the in-use limit's and the beyond-use date.</summary>
    public readonly int LastOn = int.Min(inUseLastOn, expiresOn);

    /// <summary>Place of what brought it among the events of the walk; -1: not known.</summary>
    public readonly int Source = source;

    /// <summary>Day of first puncture.</summary>
    public readonly int OpenedOn = openedOn;

    /// <summary>Volume left, in nanolitres.</summary>
    public long Left = left;
}
