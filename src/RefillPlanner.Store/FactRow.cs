using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A row of <c>facts</c>, without who recorded it.</summary>
internal sealed record FactRow
{
    public required string Id { get; init; }
    public required string CourseId { get; init; }
    public required string Kind { get; init; }
    public required LocalDate On { get; init; }
    public string? ProductId { get; init; }
    public int? Containers { get; init; }
    public Volume? Volume { get; init; }
    public LocalDate? ExpiresOn { get; init; }
    public string? Lot { get; init; }
    public LocalDate? Until { get; init; }
    public LocalDate? OpenedOn { get; init; }
    public int? Step { get; init; }
    public int? DaysSupply { get; init; }
    public string? Note { get; init; }

    public Fact ToFact() => new()
    {
        Id = Id,
        CourseId = CourseId,
        Kind = Columns.Member<FactKind>(Kind),
        On = On,
        ProductId = ProductId,
        Containers = Containers,
        Volume = Volume,
        ExpiresOn = ExpiresOn,
        Lot = Lot,
        Until = Until,
        OpenedOn = OpenedOn,
        Step = Step,
        DaysSupply = DaysSupply,
        Note = Note,
    };
}
