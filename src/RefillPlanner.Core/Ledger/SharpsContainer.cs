using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>A container for used sharps in a patient's home.</summary>
public sealed record SharpsContainer
{
    /// <summary>The writer's id of the container.</summary>
    public required string Id { get; init; }

    /// <summary>Who has it.</summary>
    public required string PatientId { get; init; }

    /// <summary>How many sharps it holds when full, from its label: published figures for one size differ four-fold.</summary>
    public required int Capacity { get; init; }

    /// <summary>The day on which it was issued; that day's doses go into it.</summary>
    public required LocalDate IssuedOn { get; init; }

    /// <summary>When it came back; null: it has not.</summary>
    public LocalDate? ReturnedOn { get; init; }

    /// <summary>When it was given up as lost; null: it was not.</summary>
    public LocalDate? WrittenOffOn { get; init; }

    /// <summary>The class of waste it takes, such as for hazardous drugs; null: general.</summary>
    public string? ContainerClass { get; init; }
}
