using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Messages;

/// <summary>A step, as the pharmacist sees it: dose, strength, and what it reads on this patient's barrel or pen.</summary>
/// <param name="Number">Its number.</param>
/// <param name="Dose">The doses of a dosing day.</param>
/// <param name="Rhythm">How often.</param>
/// <param name="Strength">Strength of the product.</param>
/// <param name="Volume">Volume of each injection.</param>
/// <param name="Mark">What is read off the barrel or dialled, in words.</param>
/// <param name="Warnings">What is doubtful about it.</param>
public sealed record AlertStep(int Number, string Dose, string Rhythm, string Strength, string Volume, string Mark, IReadOnlyList<string> Warnings);

/// <summary>What a pharmacist is told before a dose increase (planning model, section 3).</summary>
public sealed record StepUpAlert
{
    /// <summary>The site's name.</summary>
    public required string Site { get; init; }

    /// <summary>Patient's name.</summary>
    public required string Patient { get; init; }

    /// <summary>Two identifiers: id and date of birth.</summary>
    public required string Identifiers { get; init; }

    /// <summary>Generic name of the drug.</summary>
    public required string Drug { get; init; }

    /// <summary>The course.</summary>
    public required string Course { get; init; }

    /// <summary>The present step.</summary>
    public required AlertStep Old { get; init; }

    /// <summary>The step to come.</summary>
    public required AlertStep New { get; init; }

    /// <summary>When the new step is to begin.</summary>
    public required string StartsOn { get; init; }

    /// <summary>By when to decide.</summary>
    public required string CheckBy { get; init; }

    /// <summary>Prescriber and telephone.</summary>
    public required string Prescriber { get; init; }

    /// <summary>Doses missed, paused and without stock.</summary>
    public required string NotGiven { get; init; }

    /// <summary>How long the present dose has been given.</summary>
    public required string OnPresentDose { get; init; }

    /// <summary>Date and result of the last count.</summary>
    public required string LastCount { get; init; }

    /// <summary>Fills and their dates.</summary>
    public required string LastFill { get; init; }

    /// <summary>Proportion of days covered, with the variant of the measure.</summary>
    public required string DaysCovered { get; init; }

    /// <summary>What to ask: tolerability, monitoring.</summary>
    public required string Prompts { get; init; }

    /// <summary>When the new supply must be prepared.</summary>
    public required string Prepare { get; init; }

    /// <summary>What happens if nobody signs.</summary>
    public required string IfNobodySigns { get; init; }

    /// <summary>The caution.</summary>
    public string Caution => Cautions.StepUp;

    /// <summary>Puts the alert together.</summary>
    /// <param name="course">The course.</param>
    /// <param name="plan">Its plan of the day.</param>
    /// <param name="check">The check that is asked.</param>
    /// <param name="policy">The site's settings.</param>
    public static StepUpAlert Of(CourseSnapshot course, CoursePlan plan, StepUpPlan check, Policy policy)
    {
        var today = plan.AsOf;
        var ladder = course.ListLadder(plan.Supply.Ladder);
        var before = ladder[check.Step - 2];
        var coming = ladder[check.Step - 1];
        var product = course.Products[coming.ProductId];
        var facts = KnownFacts.List(course.Facts, today);
        var prescription = course.Prescriptions.OrderBy(prescription => prescription.IssuedOn).LastOrDefault();
        var patient = course.Patient;
        return new StepUpAlert
        {
            Site = course.Site.Name,
            Patient = patient.Name,
            Identifiers = patient.BornOn is LocalDate born ? $"{patient.Id}, born {DateText.Birth(born)}" : $"{patient.Id}, date of birth not on record",
            Drug = product.Drug,
            Course = course.Course.Id,
            Old = Describe(course, before, plan, policy),
            New = Describe(course, coming, plan, policy),
            StartsOn = DateText.Day(check.StartsOn, today),
            CheckBy = DateText.Day(check.CheckByOn, today),
            Prescriber = prescription?.Prescriber is string name ? $"{name}, {prescription.PrescriberPhone ?? "no telephone on record"}" : "not on record",
            NotGiven = DescribeNotGiven(facts, plan),
            OnPresentDose = DescribeOnPresentDose(plan),
            LastCount = DescribeLastCount(facts, today),
            LastFill = DescribeLastFill(facts, today),
            DaysCovered = plan.DaysCovered?.Text ?? "no billed fill in the last year",
            Prompts = product.CheckPrompts ?? "How is the present dose tolerated? Were doses missed? Is the mark on the syringe understood?",
            Prepare = plan.Refill is RefillPlan refill ? $"The next supply is to be prepared on {DateText.Day(refill.PrepareOn, today)}." : "No supply is to be prepared within the horizon.",
            IfNobodySigns = DescribeIfNobodySigns(plan, before.Number, today),
        };
    }

    private static AlertStep Describe(CourseSnapshot course, Step step, CoursePlan plan, Policy policy)
    {
        var product = course.Products[step.ProductId];
        var device = product.Kind is ProductKind.Pen or ProductKind.PrefilledSyringe ? null : course.FindDevice(step);
        var draws = step.Doses.Select(dose => (Dose: dose, Draw: Draws.Of(product, device, step.Expelled ?? course.Course.Expelled, dose, policy.OffMarksPercent))).ToArray();
        var label = $"Step {step.Number}";
        return new AlertStep(
            step.Number,
            DoseText.Doses(step.Doses, product.Unit),
            step.EveryDays == 1 ? "every day" : $"every {step.EveryDays} days",
            product.Strength is Strength strength ? DoseText.Strength(strength, product.Unit) : "prefilled",
            string.Join(", then ", draws.SelectMany(item => item.Draw.Marks).Select(DoseText.Volume)) is { Length: > 0 } volumes ? volumes : "fixed by the syringe",
            string.Join("; then ", draws.Select(item => DoseText.Draw(item.Draw, product, device, item.Dose))),
            [.. draws.SelectMany(item => item.Draw.Findings).Select(finding => finding.Text)
                .Concat(draws.Select(item => item.Draw.Stop?.Text).OfType<string>())
                .Concat(plan.Findings.Where(finding => finding.Code is FindingCode.DoseJump or FindingCode.IntervalTooShort && finding.Text.StartsWith(label, System.StringComparison.Ordinal)).Select(finding => finding.Text))
                .Distinct()]);
    }

    private static string DescribeNotGiven(IReadOnlyList<Fact> facts, CoursePlan plan)
    {
        bool IsInStep(Fact fact) => fact.On < plan.AsOf && (plan.PresentSince is not LocalDate since || fact.On >= since);
        var missed = facts.Count(fact => fact.Kind == FactKind.Missed && IsInStep(fact));
        var paused = facts.Count(fact => fact.Kind == FactKind.Paused && IsInStep(fact));
        var without = plan.Findings.FirstOrDefault(finding => finding.Code == FindingCode.DoseWithoutStock)?.Text ?? "none without stock on record";
        return $"{missed} dosing days missed in this step, {paused} pauses begun in it; {without}";
    }

    private static string DescribeOnPresentDose(CoursePlan plan) => plan.PresentSince is LocalDate since
        ? $"since {DateText.Day(since, plan.AsOf)}, {Period.DaysBetween(since, plan.AsOf)} days"
        : "not begun";

    private static string DescribeLastCount(IReadOnlyList<Fact> facts, LocalDate today) =>
        facts.LastOrDefault(fact => fact.Kind == FactKind.Counted) is Fact count
            ? $"{DateText.Day(count.On, today)}: {count.Containers} sealed, {DoseText.Volume(count.Volume ?? Ledger.Volume.Zero)} in the open one"
            : "never counted";

    private static string DescribeLastFill(IReadOnlyList<Fact> facts, LocalDate today) =>
        facts.LastOrDefault(fact => fact.Kind == FactKind.Dispensed) is Fact fill ? $"{DateText.Day(fill.On, today)}, {fill.Containers} of {fill.ProductId}" : "no fill on record";

    private static string DescribeIfNobodySigns(CoursePlan plan, int before, LocalDate today)
    {
        var held = plan.StepUp is null ? plan.Supply.RunOutOn : plan.Supply.RunOutIfHeldOn;
        var lasts = held is LocalDate date ? $"lasts until {DateText.Day(date, today)}" : "lasts as far as the plan looks";
        return $"The new step is held back and the doses of step {before} go on; their supply {lasts}.";
    }
}
