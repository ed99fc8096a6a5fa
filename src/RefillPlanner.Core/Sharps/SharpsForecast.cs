using NodaTime;

namespace RefillPlanner.Core.Sharps;

/// <summary>The states of a sharps container's life (planning model, section 5).</summary>
public enum SharpsState
{
    /// <summary>In the patient's home.</summary>
    Issued,

    /// <summary>The notice is due or sent.</summary>
    NoticeSent,

    /// <summary>Not back by its return date.</summary>
    Overdue,

    /// <summary>Back.</summary>
    Returned,

    /// <summary>Given up.</summary>
    WrittenOff,
}

/// <summary>How full a sharps container is on the as-of date, and when it will be full (planning model, section 5).</summary>
public sealed record SharpsForecast
{
    /// <summary>The container.</summary>
    public required string SharpsId { get; init; }

    /// <summary>Who has it.</summary>
    public required string PatientId { get; init; }

    /// <summary>Sharps in it on the as-of date, before that day's doses.</summary>
    public required int Used { get; init; }

    /// <summary>What it holds when full, from its label.</summary>
    public required int Capacity { get; init; }

    /// <summary>The fill line in sharps: the percentage of the capacity, rounded down.</summary>
    public required int FillLine { get; init; }

    /// <summary>Date of the dose that brings it to the fill line or past it; null: none in sight.</summary>
    public LocalDate? FillLineOn { get; init; }

    /// <summary>
    /// The day on which the next container went out before this one, with sharps in it, had reached its fill line: that will never come. Null: not so.
    /// </summary>
    public LocalDate? ReplacedOn { get; init; }

    /// <summary>The open day of the first notice; null with both <see cref="FillLineOn"/> and <see cref="ReplacedOn"/>.</summary>
    public LocalDate? NoticeOn { get; init; }

    /// <summary>The day by which it is to come back, counted from the fill line, else from <see cref="ReplacedOn"/>; null with both.</summary>
    public LocalDate? ReturnByOn { get; init; }

    /// <summary>Where it is in its life on the as-of date.</summary>
    public required SharpsState State { get; init; }

    /// <summary>Whether it is of a class of its own, as for hazardous medicines.</summary>
    public bool HasClass { get; init; }

    /// <summary>Whether the next container goes out on its own, because no refill is handed over on or before the fill line.</summary>
    public bool IsReplacedAlone { get; init; }

    /// <summary>Whether the patient still has it.</summary>
    public bool IsOut => State is not (SharpsState.Returned or SharpsState.WrittenOff);
}
