using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>
/// Approvals of a step that is still to come and that reads otherwise today than when it was signed (planning model, section 3): they count no
/// longer. A step that has begun is not taken back by a change of its product or syringe.
/// </summary>
internal static class OutdatedApprovals
{
    /// <summary>The approvals, also those that planning has taken back for this reason already; none of a step that was signed again since.</summary>
    /// <param name="course">The course.</param>
    /// <param name="days">Its dosing days, with all approvals counted.</param>
    /// <param name="asOf">A step that begins on this date is still to come.</param>
    public static IReadOnlyList<Fact> List(CourseSnapshot course, DosingDays days, LocalDate asOf)
    {
        List<Fact>? outdated = null;
        for (var index = 0; index < course.Facts.Count; index++)
        {
            var approval = course.Facts[index];
            if (approval.Signed is not null && approval.On <= asOf && FindStep(days, approval) is RunStep step && IsToCome(step, asOf)
                && !IsCurrent(course, step, approval) && !course.Facts.Any(other => IsCurrent(course, step, other) && other.On >= approval.On && other.Step == approval.Step))
                (outdated ??= []).Add(approval);
        }

        return outdated is null ? [] : outdated;
    }

    private static bool IsToCome(RunStep step, LocalDate asOf) => step.BeginsOn is null || step.BeginsOn >= DayNumber.Of(asOf);

    private static bool IsCurrent(CourseSnapshot course, RunStep step, Fact approval) =>
        approval.Kind == FactKind.Approved && string.Equals(approval.Signed, SignedContent.Of(course, step.Step), StringComparison.Ordinal);

    // The step of the run in force on the approval's date; an approval before the first run belongs to it.
    private static RunStep? FindStep(DosingDays days, Fact approval)
    {
        var on = DayNumber.Of(approval.On);
        return days.Steps.FirstOrDefault(step => step.Step.Number == approval.Step && (step.Run.Index == 0 || on >= step.Run.FirstDay) && on < step.Run.EndDay);
    }
}
