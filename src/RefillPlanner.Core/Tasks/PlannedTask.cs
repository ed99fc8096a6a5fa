using NodaTime;

namespace RefillPlanner.Core.Tasks;

/// <summary>A task as planning wants it: what, about whom, when, why. Planning again gives the same key and may give another day or reason.</summary>
public sealed record PlannedTask
{
    /// <summary>Identity from meaning.</summary>
    public required TaskKey Key { get; init; }

    /// <summary>What is to be done.</summary>
    public required TaskKind Kind { get; init; }

    /// <summary>The site whose staff do it.</summary>
    public required string SiteId { get; init; }

    /// <summary>The patient it is about.</summary>
    public required string PatientId { get; init; }

    /// <summary>The course it is about; null for a sharps container.</summary>
    public string? CourseId { get; init; }

    /// <summary>The sharps container it is about; null for a course.</summary>
    public string? SharpsId { get; init; }

    /// <summary>The date that the rules give, which may have passed.</summary>
    public required LocalDate PlannedOn { get; init; }

    /// <summary>The open day on which it is to be done: <see cref="PlannedOn"/>, or the first open day from today on if that has passed.</summary>
    public required LocalDate DueOn { get; init; }

    /// <summary>The hour of <see cref="DueOn"/> at which its alarm goes.</summary>
    public required Instant DueAt { get; init; }

    /// <summary>One sentence with the numbers in it, the same on whatever day it is planned.</summary>
    public required string Reason { get; init; }
}

/// <summary>A task as it stands on record.</summary>
public sealed record TaskOnRecord
{
    /// <summary>What planning last wanted.</summary>
    public required PlannedTask Task { get; init; }

    /// <summary>Where it is in its life.</summary>
    public required TaskState State { get; init; }

    /// <summary>When it came into this state.</summary>
    public required Instant ChangedAt { get; init; }

    /// <summary>Who moved it last: a person's name, or <c>planner</c>.</summary>
    public required string ChangedBy { get; init; }

    /// <summary>Grows by one with each change: of two people who change one task the second is told.</summary>
    public required int Version { get; init; }

    /// <summary>A person's reason for postponing; while it is there, planning leaves the date alone. Null: not postponed.</summary>
    public string? PostponedBecause { get; init; }
}
