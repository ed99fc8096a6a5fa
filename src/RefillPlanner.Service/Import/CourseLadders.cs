using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Service.Import;

/// <summary>What facts of a course are held against.</summary>
/// <param name="Numbers">The numbers of its ladders.</param>
/// <param name="LongestLadder">The last step of the longest; 0: it has none.</param>
/// <param name="Families">The products that its steps call for, each by the one that it is a size of.</param>
internal sealed record CourseLadders(IReadOnlySet<int> Numbers, int LongestLadder, IReadOnlySet<string> Families)
{
    /// <summary>The ladders of a course; null: there is no such course.</summary>
    public static CourseLadders? Find(RosterLedger ledger, string courseId)
    {
        var steps = ledger.ListSteps(courseId);
        if (steps.Count == 0 && ledger.FindCourse(courseId) is null)
            return null;
        return new CourseLadders(
            steps.Select(step => step.Ladder).ToHashSet(),
            steps.Count == 0 ? 0 : steps.Max(step => step.Number),
            steps.Select(step => ledger.FindProduct(step.ProductId)?.Family ?? step.ProductId).ToHashSet());
    }
}
