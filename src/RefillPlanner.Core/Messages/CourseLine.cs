using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Core.Messages;

/// <summary>What the refill-due list says of a course, in the words of its last planning.</summary>
/// <param name="Medicine">Drug and dose of the present step.</param>
/// <param name="Findings">
/// The texts of what is doubtful about the course and of what a pharmacist has to sign, one a line, and of what is to be said when its supply is prepared and
/// handed over, each marked as such; empty: nothing is.
/// </param>
/// <example><c>semaglutide, 0.5 mg every 7 days</c>.</example>
public sealed record CourseLine(string Medicine, string Findings)
{
    private const char Separator = '\n';
    private const string WhenHandedOver = "When handing over: ";

    /// <summary>The line of a course and its plan.</summary>
    /// <param name="course">The course.</param>
    /// <param name="plan">Its plan.</param>
    /// <param name="mixed">Numbers that may be mixed up about it.</param>
    public static CourseLine Of(CourseSnapshot course, CoursePlan plan, IReadOnlyList<MixedNumber> mixed)
    {
        var step = course.ListLadder(plan.Supply.Ladder).First(step => step.Number == plan.Supply.Step);
        var product = course.Products[step.ProductId];
        return new CourseLine(
            $"{product.Drug}, {DoseText.Doses(step.Doses, product.Unit)} every {(step.EveryDays == 1 ? "day" : $"{step.EveryDays} days")}",
            string.Join(Separator,
            [
                .. plan.Findings.Select(finding => finding.Text),
                .. DoseSignature.ListMissing(course, plan).Select(unsigned => Unsigned(unsigned, plan)),
                .. mixed.Select(number => WhenHandedOver + number.Short),
            ]));
    }

    private static string Unsigned(Step step, CoursePlan plan) => DoseSignature.IsJump(step, plan)
        ? $"Step {step.Number}: no pharmacist has signed this jump of the dose, so there is no sheet for the patient. To sign it: {DoseSignature.HowTo(plan, step)}"
        : $"Step {step.Number}: no pharmacist has signed this rounding, so the patient is shown no mark. To sign it: {DoseSignature.HowTo(plan, step)}";

    /// <summary>The findings apart, in the order of the plan.</summary>
    public IReadOnlyList<string> ListFindings() => [.. Lines.Where(line => !line.StartsWith(WhenHandedOver, StringComparison.Ordinal))];

    /// <summary>What is to be said when the supply is prepared and handed over.</summary>
    public IReadOnlyList<string> ListWhenHandedOver() => [.. Lines.Where(line => line.StartsWith(WhenHandedOver, StringComparison.Ordinal)).Select(line => line[WhenHandedOver.Length..])];

    private string[] Lines => Findings.Length == 0 ? [] : Findings.Split(Separator);
}
