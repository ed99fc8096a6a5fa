using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>What happened. Facts are added, never edited; a mistake is taken back by a <see cref="Void"/>.</summary>
public enum FactKind
{
    /// <summary>Made up and waiting in the pharmacy; not yet the patient's stock.</summary>
    Prepared,

    /// <summary>Handed over or sent: a fill.</summary>
    Dispensed,

    /// <summary>A fill arrived that day, whatever was expected.</summary>
    Received,

    /// <summary>Stock as seen.</summary>
    Counted,

    /// <summary>First puncture of a container.</summary>
    Opened,

    /// <summary>Thrown away, broken or recalled.</summary>
    Discarded,

    /// <summary>That day's doses were not given.</summary>
    Missed,

    /// <summary>No doses from that day to the day before <see cref="Fact.Until"/>.</summary>
    Paused,

    /// <summary>Ends an open pause.</summary>
    Resumed,

    /// <summary>A step-up signed by a pharmacist.</summary>
    Approved,

    /// <summary>A step kept back.</summary>
    Held,

    /// <summary>A new ladder begins and replaces what was to come.</summary>
    LadderStarted,

    /// <summary>The patient's answer to a refill notice.</summary>
    Answered,

    /// <summary>The course stopped: no doses from that day.</summary>
    Ended,

    /// <summary>The named fact is taken back.</summary>
    Void,
}

/// <summary>One dated fact of a course. Which columns a kind uses is fixed by the roster format; the others are null.</summary>
public sealed record Fact
{
    /// <summary>The writer's id; adding the same id twice is adding it once.</summary>
    public required string Id { get; init; }

    /// <summary>The course it is about.</summary>
    public required string CourseId { get; init; }

    /// <summary>What happened.</summary>
    public required FactKind Kind { get; init; }

    /// <summary>The calendar day in the patient's zone.</summary>
    public required LocalDate On { get; init; }

    /// <summary>The product, of exactly the named size.</summary>
    public string? ProductId { get; init; }

    /// <summary>Number of containers (sealed ones, for a count).</summary>
    public int? Containers { get; init; }

    /// <summary>Left in the open container, for a count.</summary>
    public Volume? Volume { get; init; }

    /// <summary>Beyond-use date: last day on which the containers may be used; null: none.</summary>
    public LocalDate? ExpiresOn { get; init; }

    /// <summary>Lot of the containers; null: not on record.</summary>
    public string? Lot { get; init; }

    /// <summary>Arrival of a fill; day after the last one of a pause or a hold; start of an approval. Null: see the kind.</summary>
    public LocalDate? Until { get; init; }

    /// <summary>When the counted open container was opened; null: not known.</summary>
    public LocalDate? OpenedOn { get; init; }

    /// <summary>Step number (approved, held) or ladder number (ladder-started).</summary>
    public int? Step { get; init; }

    /// <summary>Billed days' supply of a fill; null: not billed.</summary>
    public int? DaysSupply { get; init; }

    /// <summary>Who signed, the patient's answer, or the id of another fact; see the kind.</summary>
    public string? Note { get; init; }

    /// <summary>What the pharmacist who signed an approval had before them (<see cref="SignedContent"/>); null: it was recorded without that.</summary>
    public string? Signed { get; init; }
}
