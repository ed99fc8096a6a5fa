using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>What happened at a line of the working.</summary>
public enum WalkLineKind
{
    /// <summary>Containers came.</summary>
    Arrived,

    /// <summary>Stock was set by a count.</summary>
    Counted,

    /// <summary>A container was opened.</summary>
    Opened,

    /// <summary>Doses were drawn.</summary>
    Drawn,

    /// <summary>A container was closed and thrown away.</summary>
    Discarded,

    /// <summary>A day's doses were missed.</summary>
    Missed,

    /// <summary>Dosing days were skipped by a pause.</summary>
    Paused,

    /// <summary>A dose had no stock.</summary>
    NotCovered,
}

/// <summary>Why a container was closed.</summary>
public enum ClosedBy
{
    /// <summary>The next dose no longer fitted in what was left.</summary>
    NextDose,

    /// <summary>It was drawn out.</summary>
    Empty,

    /// <summary>Its in-use limit passed.</summary>
    InUseLimit,

    /// <summary>Its beyond-use date passed while it was open.</summary>
    BeyondUse,

    /// <summary>Its beyond-use date passed while it was sealed.</summary>
    SealedBeyondUse,

    /// <summary>It was made for one dose.</summary>
    SingleDose,

    /// <summary>Another one was opened.</summary>
    OtherOpened,

    /// <summary>It was recorded as thrown away.</summary>
    Record,

    /// <summary>Nobody knows when it was opened.</summary>
    OpeningUnknown,
}

/// <summary>One line of the working, as a person would check it.</summary>
public sealed record WalkLine
{
    /// <summary>First day that it speaks of.</summary>
    public required LocalDate On { get; init; }

    /// <summary>Last day that it speaks of; the same for a single day.</summary>
    public required LocalDate Through { get; init; }

    /// <summary>What happened.</summary>
    public required WalkLineKind Kind { get; init; }

    /// <summary>The product, of exactly which size.</summary>
    public required string ProductId { get; init; }

    /// <summary>Containers or doses, as the kind has it.</summary>
    public required int Count { get; init; }

    /// <summary>Drawn for doses.</summary>
    public Volume Used { get; init; }

    /// <summary>Left in the needle or pushed out.</summary>
    public Volume Lost { get; init; }

    /// <summary>Left in the open container afterwards, or thrown away with it.</summary>
    public Volume Left { get; init; }

    /// <summary>Why a container was closed; null for every other line.</summary>
    public ClosedBy? ClosedBy { get; init; }

    /// <summary>The family's stock by the walk just before a count; null for every other line.</summary>
    public CountedStock? Known { get; init; }

    /// <summary>The family's stock just after a count; null for every other line.</summary>
    public CountedStock? Found { get; init; }

    /// <summary>The fact behind it, or what was wanted; may be empty.</summary>
    public required string Note { get; init; }
}
