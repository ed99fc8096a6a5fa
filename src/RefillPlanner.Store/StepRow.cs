using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A row of <c>steps</c>.</summary>
internal sealed record StepRow
{
    public required string CourseId { get; init; }
    public required int Ladder { get; init; }
    public required int Number { get; init; }
    public required string ProductId { get; init; }
    public required string Doses { get; init; }
    public required int EveryDays { get; init; }
    public int? DoseDays { get; init; }
    public required bool NeedsCheck { get; init; }
    public string? DeviceId { get; init; }
    public Volume? Expelled { get; init; }

    public Step ToStep() => new()
    {
        CourseId = CourseId,
        Ladder = Ladder,
        Number = Number,
        ProductId = ProductId,
        Doses = Columns.Amounts(Doses),
        EveryDays = EveryDays,
        DoseDays = DoseDays,
        NeedsCheck = NeedsCheck,
        DeviceId = DeviceId,
        Expelled = Expelled,
    };
}
