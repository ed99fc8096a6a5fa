using System.Collections.Generic;
using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>One patient's treatment with one ladder of steps at a time.</summary>
public sealed record Course
{
    /// <summary>The writer's id of the course.</summary>
    public required string Id { get; init; }

    /// <summary>The patient treated.</summary>
    public required string PatientId { get; init; }

    /// <summary>First dosing day of step 1 of ladder 1.</summary>
    public required LocalDate StartedOn { get; init; }

    /// <summary>The syringe, where a step names none; null: none.</summary>
    public string? DeviceId { get; init; }

    /// <summary>Pushed out with the air at each injection, where a step names none.</summary>
    public Volume Expelled { get; init; }

    /// <summary>Length of a fill in days; null: the policy's.</summary>
    public int? FillDays { get; init; }

    /// <summary>Percent of the billed supply that must have elapsed before the next fill; null: the policy's.</summary>
    public int? EarlyFillPercent { get; init; }
}

/// <summary>One step of a titration ladder, as prescribed.</summary>
public sealed record Step
{
    /// <summary>The course it belongs to.</summary>
    public required string CourseId { get; init; }

    /// <summary>The ladder it belongs to; the first is 1.</summary>
    public int Ladder { get; init; } = 1;

    /// <summary>Its place in the ladder; the first is 1, without gaps.</summary>
    public required int Number { get; init; }

    /// <summary>The product that it calls for.</summary>
    public required string ProductId { get; init; }

    /// <summary>The doses of one dosing day in order, in the product's unit; at least one.</summary>
    public required IReadOnlyList<Amount> Doses { get; init; }

    /// <summary>Days from one dosing day to the next; 1 is daily, 7 is weekly.</summary>
    public required int EveryDays { get; init; }

    /// <summary>How many dosing days the step lasts; null (last step only): until further notice.</summary>
    public int? DoseDays { get; init; }

    /// <summary>Whether a pharmacist's approval is wanted before it starts. Ignored on step 1.</summary>
    public bool NeedsCheck { get; init; } = true;

    /// <summary>The syringe; null: the course's.</summary>
    public string? DeviceId { get; init; }

    /// <summary>Pushed out with the air at each injection; null: the course's.</summary>
    public Volume? Expelled { get; init; }
}

/// <summary>A prescription that authorises fills of a course.</summary>
public sealed record Prescription
{
    /// <summary>The writer's id of the prescription.</summary>
    public required string Id { get; init; }

    /// <summary>The course it is for.</summary>
    public required string CourseId { get; init; }

    /// <summary>Date of issue.</summary>
    public required LocalDate IssuedOn { get; init; }

    /// <summary>Refills authorised after the first fill; 0 or more.</summary>
    public required int RefillsAuthorized { get; init; }

    /// <summary>Last day on which it may be filled; null: none stated.</summary>
    public LocalDate? ValidThrough { get; init; }

    /// <summary>Controlled-substance schedule (US): 2 to 5; null: not controlled.</summary>
    public int? Schedule { get; init; }

    /// <summary>Prescriber's name; null: not on record.</summary>
    public string? Prescriber { get; init; }

    /// <summary>Prescriber's telephone; null: not on record.</summary>
    public string? PrescriberPhone { get; init; }
}
