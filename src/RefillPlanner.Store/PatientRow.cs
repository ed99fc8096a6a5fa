using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A row of <c>patients</c>.</summary>
internal sealed record PatientRow
{
    public required string Id { get; init; }
    public required string Name { get; init; }
    public required string SiteId { get; init; }
    public LocalDate? BornOn { get; init; }
    public string? Phone { get; init; }
    public string? Email { get; init; }
    public LocalDate? EmailAgreedOn { get; init; }
    public LocalDate? EmailOptedOutOn { get; init; }
    public required string Status { get; init; }
    public required string Language { get; init; }
    public string? TimeZone { get; init; }
    public required string Handover { get; init; }

    public Patient ToPatient() => new()
    {
        Id = Id,
        Name = Name,
        SiteId = SiteId,
        BornOn = BornOn,
        Phone = Phone,
        Email = Email,
        EmailAgreedOn = EmailAgreedOn,
        EmailOptedOutOn = EmailOptedOutOn,
        Status = Columns.Member<PatientStatus>(Status),
        Language = Columns.Member<Language>(Language),
        TimeZone = TimeZone,
        Handover = Columns.Member<Handover>(Handover),
    };
}
