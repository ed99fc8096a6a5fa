using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Planning;

/// <summary>What a pharmacist decides about a coming step.</summary>
/// <param name="IsApproval">Approved; otherwise held.</param>
/// <param name="Step">The step; null: the one that is asked first.</param>
/// <param name="From">First day of an approval, where that is later than prescribed; null: as prescribed.</param>
/// <param name="Until">The date until which a step is held; null only for an approval.</param>
/// <param name="By">Name of the pharmacist.</param>
/// <param name="Note">What else is to be kept; null: nothing.</param>
public sealed record StepDecision(bool IsApproval, int? Step, LocalDate? From, LocalDate? Until, string By, string? Note);

/// <summary>What a decision comes to.</summary>
/// <param name="Fact">The fact to be recorded; null: the decision is refused.</param>
/// <param name="Refusal">Why, and what to do; null: it is not refused.</param>
public sealed record SigningAnswer(Fact? Fact, string? Refusal);

/// <summary>
/// Turns a pharmacist's decision into a fact, if there is something to decide and the decision would count (planning model, section 3). Besides the checks
/// of coming steps it takes the signature under a dose for which no check asks: see <see cref="DoseSignature"/>.
/// </summary>
public static class Signing
{
    /// <summary>Judges a decision made on the plan's as-of date.</summary>
    /// <param name="course">The course.</param>
    /// <param name="plan">Its plan of the day.</param>
    /// <param name="decision">The decision.</param>
    public static SigningAnswer Judge(CourseSnapshot course, CoursePlan plan, StepDecision decision)
    {
        var today = plan.AsOf;
        IReadOnlyList<StepUpPlan> checks = plan.HeldBack is StepUpPlan held ? [held, .. plan.StepUps] : plan.StepUps;
        if (decision.Step is int number && checks.All(check => check.Step != number))
        {
            return decision.IsApproval && DoseSignature.ListMissing(course, plan).FirstOrDefault(step => step.Number == number) is Step unsigned
                ? SignDose(course, plan, decision, unsigned)
                : Refuse(WhyNotAsked(course, plan, number));
        }

        var asked = decision.Step is int named ? checks.First(check => check.Step == named) : checks.FirstOrDefault(check => !check.Approved);
        if (asked is null)
            return Refuse(checks.Count == 0
                ? $"There is nothing to sign: no coming step of {plan.CourseId} waits for a check.{HowToSignDose(course, plan)}"
                : $"There is nothing to sign: step {checks[0].Step} of {plan.CourseId} is approved. To hold it after all, name it with --step {checks[0].Step}.");
        if (asked.Ladder != plan.Supply.Ladder || course.ListLadder(asked.Ladder).FirstOrDefault(step => step.Number == asked.Step) is not Step step)
            return Refuse($"Step {Text(asked.Step)} belongs to a ladder that has not begun: sign when it has.");
        return decision.IsApproval ? Approve(course, plan, decision, asked, step, today) : Hold(plan, decision, asked, today);
    }

    private static SigningAnswer Approve(CourseSnapshot course, CoursePlan plan, StepDecision decision, StepUpPlan asked, Step step, LocalDate today)
    {
        if (asked.Approved)
            return Refuse($"Step {asked.Step} is approved already and begins on {DateText.Full(asked.StartsOn)}. To begin later, hold it until then.");
        if (decision.Until is not null)
            return Refuse("--until belongs to a hold. For a start later than prescribed give --from.");
        if (decision.From < today)
            return Refuse($"--from {Iso(decision.From.Value)} has passed: an approval counts from today, {Iso(today)}, at the earliest.");
        if (plan.NextCheckFrom is LocalDate earliest && asked.Step == plan.NextCheckStep && today < earliest)
            return Refuse($"An approval of step {asked.Step} counts only from the first dosing day of step {asked.Step - 1}, {DateText.Full(earliest)}: sign then.");
        if (plan.NextCheckStep is int next && asked.Step > next)
            return Refuse($"Step {asked.Step} cannot be signed before step {asked.Step - 1} has begun: an approval counts only from then on.");
        if (KnownFacts.List(course.Facts, today).FirstOrDefault(fact => fact.Kind == FactKind.Held && fact.Step == asked.Step && fact.On == today) is Fact hold)
            return Refuse($"Step {asked.Step} was held today, {hold.Id}, and on one day the hold wins. Take it back first: refill-planner record {plan.CourseId} void --note \"{hold.Id}\"");
        var begins = decision.From is LocalDate from && from > asked.StartsOn ? from : (LocalDate?)null;
        return new SigningAnswer(
            Fact(plan, FactKind.Approved, decision, asked.Step) with { Until = begins, Signed = SignedContent.Of(course, step) },
            Refusal: null);
    }

    // A dose for which no check asks: it begins, or has begun, as prescribed.
    private static SigningAnswer SignDose(CourseSnapshot course, CoursePlan plan, StepDecision decision, Step step) => decision.From is null && decision.Until is null
        ? new SigningAnswer(Fact(plan, FactKind.Approved, decision, step.Number) with { Signed = SignedContent.Of(course, step) }, Refusal: null)
        : Refuse($"--from and --until belong to a step that waits for a check. Step {Text(step.Number)} begins as prescribed, and only its dose is signed.");

    private static string HowToSignDose(CourseSnapshot course, CoursePlan plan) => DoseSignature.ListMissing(course, plan) is [Step step, ..]
        ? $" The dose of step {Text(step.Number)} is not signed: {DoseSignature.HowTo(plan, step)}"
        : string.Empty;

    private static SigningAnswer Hold(CoursePlan plan, StepDecision decision, StepUpPlan asked, LocalDate today)
    {
        if (decision.From is not null)
            return Refuse("--from belongs to an approval. For a hold give --until, the date on which the step may begin at the earliest.");
        if (decision.Until is not LocalDate until)
            return Refuse("A hold needs its end: give --until DATE. The check is asked again in time for it.");
        if (until <= today)
            return Refuse($"--until {Iso(until)} is not after today, {Iso(today)}.");
        if (until <= asked.StartsOn)
            return Refuse($"Step {asked.Step} does not begin before {DateText.Full(asked.StartsOn)}: a hold until {Iso(until)} would hold nothing back. Give a later date.");
        return new SigningAnswer(Fact(plan, FactKind.Held, decision, asked.Step) with { Until = until }, Refusal: null);
    }

    private static Fact Fact(CoursePlan plan, FactKind kind, StepDecision decision, int step) => new()
    {
        Id = string.Empty,
        CourseId = plan.CourseId,
        Kind = kind,
        On = plan.AsOf,
        Step = step,
        Note = decision.Note is null ? decision.By : $"{decision.By}: {decision.Note}",
    };

    private static string WhyNotAsked(CourseSnapshot course, CoursePlan plan, int number)
    {
        var ladder = course.ListLadder(plan.Supply.Ladder);
        var step = ladder.FirstOrDefault(step => step.Number == number);
        if (step is null)
            return $"There is no step {number}: ladder {Text(plan.Supply.Ladder)} of {plan.CourseId}, which is in force, has the steps 1 to {Text(ladder.Count)}.";
        if (number == 1)
            return "Step 1 is not signed: no check is asked before it, and nothing about its dose waits for a signature.";
        if (!step.NeedsCheck)
            return $"Step {number} is not signed: it was recorded with needs_check no, and nothing about its dose waits for a signature.";
        return number <= plan.Supply.Step
            ? $"Step {number} has begun, and a decision would change nothing. To go back, record a new ladder: refill-planner sign {plan.CourseId} step-back --help"
            : $"Step {number} does not come within the time that is planned ahead.";
    }

    private static SigningAnswer Refuse(string why) => new(Fact: null, why);

    private static string Iso(LocalDate date) => NodaTime.Text.LocalDatePattern.Iso.Format(date);

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);
}
