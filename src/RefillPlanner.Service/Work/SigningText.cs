using System.Linq;
using System.Text;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Service.Work;

/// <summary>What follows from a decision, in words.</summary>
public static class SigningText
{
    /// <summary>Says what was recorded and what is to be done next.</summary>
    public static string Of(Fact fact, CourseSnapshot course, CoursePlan plan, string by)
    {
        var text = new StringBuilder();
        text.AppendLine($"{Recorded(fact, course)}. Recorded as {fact.Id}, by {by}.");
        var ladder = course.ListLadder(plan.Supply.Ladder);
        var isDoseOnly = fact.Kind == FactKind.Approved && IsDoseOnly(ladder.First(step => step.Number == fact.Step), plan);
        if (isDoseOnly)
            text.AppendLine($"The patient's sheet may now show this dose: refill-planner preview sheet --course {fact.CourseId}");
        if (fact.Kind == FactKind.Held)
            text.AppendLine($"Until then the doses of step {fact.Step - 1} go on: {Doses(course, ladder.First(step => step.Number == fact.Step - 1))}.");
        if (plan.Refill is RefillPlan refill)
        {
            var items = refill.Items.Count == 0 ? "nothing before the coming step is decided" : string.Join(", ", refill.Items.Select(item => $"{item.Containers} of {item.ProductId} for step {item.Step}"));
            var isInIt = fact.Kind == FactKind.Approved && !isDoseOnly && refill.Items.Any(item => item.Step == fact.Step);
            text.AppendLine($"{(isInIt ? "The new strength may be prepared from" : "The next supply is to be prepared on")} {DateText.Full(refill.PrepareOn)}: {items}. The patient is asked on {DateText.Full(refill.ContactOn)}.");
        }

        if ((plan.StepUps.FirstOrDefault(check => !check.Approved) ?? plan.HeldBack) is StepUpPlan next)
            text.AppendLine($"The next check is that of step {next.Step}: alert on {DateText.Full(next.AlertOn)}, to be decided by {DateText.Full(next.CheckByOn)}, for a start on {DateText.Full(next.StartsOn)}.");
        return text.ToString();
    }

    private static string Recorded(Fact fact, CourseSnapshot course) => fact.Kind switch
    {
        FactKind.Approved => $"Step {fact.Step} of {fact.CourseId} is approved{(fact.Until is LocalDate from ? $" from {DateText.Full(from)}" : string.Empty)}: {Doses(course, course.ListLadder(LadderOn(course, fact)).First(step => step.Number == fact.Step))}",
        FactKind.Held => $"Step {fact.Step} of {fact.CourseId} is held until {DateText.Full(fact.Until!.Value)}",
        _ => $"Ladder {fact.Step} of {fact.CourseId} begins on {DateText.Full(fact.On)}: {Doses(course, course.ListLadder(fact.Step!.Value)[0])}",
    };

    // No check was asked: the step begins, or has begun, as prescribed.
    private static bool IsDoseOnly(Step step, CoursePlan plan) =>
        step.Number == 1 || !step.NeedsCheck || (plan.Supply.Step == step.Number && plan.PresentSince < plan.AsOf);

    private static string Doses(CourseSnapshot course, Step step)
    {
        var product = course.Products[step.ProductId];
        return $"{product.Drug} {DoseText.Doses(step.Doses, product.Unit)} every {(step.EveryDays == 1 ? "day" : $"{step.EveryDays} days")}";
    }

    private static int LadderOn(CourseSnapshot course, Fact decision) => KnownFacts.List(course.Facts, decision.On)
        .LastOrDefault(fact => fact.Kind == FactKind.LadderStarted && fact.On <= decision.On)?.Step ?? 1;
}
