using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>Whether a patient is cared for at home by this pharmacy. Any status but <see cref="Active"/> stops every mail.</summary>
public enum PatientStatus
{
    /// <summary>At home, treated.</summary>
    Active,

    /// <summary>In hospital or another institution.</summary>
    InCare,

    /// <summary>No longer this pharmacy's patient.</summary>
    Moved,

    /// <summary>Died.</summary>
    Deceased,
}

/// <summary>How a fill reaches the patient.</summary>
public enum Handover
{
    /// <summary>Fetched at the counter.</summary>
    Pickup,

    /// <summary>Sent by a carrier.</summary>
    Ship,
}

/// <summary>The language of texts for a patient.</summary>
public enum Language
{
    /// <summary>English.</summary>
    English,

    /// <summary>US Spanish.</summary>
    Spanish,
}

/// <summary>A person treated at home.</summary>
public sealed record Patient
{
    /// <summary>The writer's id of the patient.</summary>
    public required string Id { get; init; }

    /// <summary>Name, free of control characters.</summary>
    public required string Name { get; init; }

    /// <summary>The pharmacy that cares for the patient.</summary>
    public required string SiteId { get; init; }

    /// <summary>Date of birth, the second identifier; null: not on record.</summary>
    public LocalDate? BornOn { get; init; }

    /// <summary>Telephone; null: not on record.</summary>
    public string? Phone { get; init; }

    /// <summary>E-mail address; null: none.</summary>
    public string? Email { get; init; }

    /// <summary>Day of the latest recorded agreement to e-mail; null: never.</summary>
    public LocalDate? EmailAgreedOn { get; init; }

    /// <summary>Day of the latest opt-out; null: never.</summary>
    public LocalDate? EmailOptedOutOn { get; init; }

    /// <summary>Whether the patient is cared for at home.</summary>
    public PatientStatus Status { get; init; }

    /// <summary>Language of texts.</summary>
    public Language Language { get; init; }

    /// <summary>IANA time zone; null: the site's.</summary>
    public string? TimeZone { get; init; }

    /// <summary>How a fill reaches the patient.</summary>
    public Handover Handover { get; init; }

    /// <summary>
    /// Whether mail may be sent: active, an address, and an agreement that is later than any opt-out (same day: the opt-out wins).
    /// </summary>
    public bool MayBeMailed => Status == PatientStatus.Active && Email is not null && EmailAgreedOn is LocalDate agreed
        && (EmailOptedOutOn is not LocalDate optedOut || agreed > optedOut);

    /// <summary>Why no mail may be sent, as staff read it; null: it may be.</summary>
    public string? WhyNotMailed => MayBeMailed ? null
        : Status != PatientStatus.Active ? "not cared for at home"
        : Email is null ? "no e-mail address on record"
        : EmailAgreedOn is null ? "no agreement to e-mail on record"
        : "opted out of e-mail";
}
