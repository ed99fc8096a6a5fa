using NodaTime;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Core.Messages;

/// <summary>An open task with all that the refill-due list says about it: one row of one query.</summary>
public sealed record ListedTask
{
    /// <summary>Identity from meaning.</summary>
    public required TaskKey Key { get; init; }

    /// <summary>What is to be done.</summary>
    public required TaskKind Kind { get; init; }

    /// <summary>Where it is in its life.</summary>
    public required TaskState State { get; init; }

    /// <summary>The date that the rules give, which may have passed.</summary>
    public required LocalDate PlannedOn { get; init; }

    /// <summary>The open day on which it is to be done.</summary>
    public required LocalDate DueOn { get; init; }

    /// <summary>One sentence with the numbers in it.</summary>
    public required string Reason { get; init; }

    /// <summary>Why a person put it off to <see cref="DueOn"/>; null: nobody did.</summary>
    public string? PostponedBecause { get; init; }

    /// <summary>The patient it is about.</summary>
    public required ListedPatient Patient { get; init; }

    /// <summary>The course it is about; null for a sharps container.</summary>
    public string? CourseId { get; init; }

    /// <summary>What is said of the course; null for a sharps container, and for a course that was never planned.</summary>
    public CourseLine? Course { get; init; }

    /// <summary>
    /// Days by which it is late on a day, from the date of the rules or from its open day, whichever passed first; of one that was put off, from the day to
    /// which it was. 0: not late.
    /// </summary>
    public int LateDays(LocalDate today) => int.Max(0, Period.DaysBetween(PostponedBecause is null ? LocalDate.Min(PlannedOn, DueOn) : DueOn, today));
}
