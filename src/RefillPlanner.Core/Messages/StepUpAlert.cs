using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Core.Messages;

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

    /// <summary>The last fills, newest first, each with whether it was late or early; empty: none on record.</summary>
    public required IReadOnlyList<string> Fills { get; init; }

    /// <summary>What is said large and first: a jump of the dose, too short an interval, another strength, numbers that may be mixed up. Empty: nothing.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }

    /// <summary>The name of the picture of both steps, see <see cref="PictureCode"/>; empty: neither step has one.</summary>
    public required string Picture { get; init; }

    /// <summary>What the picture shows, in words; empty with <see cref="Picture"/>.</summary>
    public required string PictureWords { get; init; }

    /// <summary>Width of the picture in pixels; 0: none.</summary>
    public required int PictureWidth { get; init; }

    /// <summary>Why a step has no picture; empty: both have one.</summary>
    public required IReadOnlyList<string> NoPicture { get; init; }

    /// <summary>Proportion of days covered, with the variant of the measure; or that it is not known, and why.</summary>
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
    /// <param name="others">The patient's other courses with their plans: what they are read off may be mixed up with this one.</param>
    public static StepUpAlert Of(CourseSnapshot course, CoursePlan plan, StepUpPlan check, Policy policy, IReadOnlyList<(CourseSnapshot Course, CoursePlan Plan)> others)
    {
        var today = plan.AsOf;
        var ladder = course.ListLadder(check.Ladder);
        var before = check.Step > 1 ? StepReading.Of(course, ladder[check.Step - 2], policy) : StepReading.OfPresent(course, plan, policy);
        var coming = StepReading.Of(course, ladder[check.Step - 1], policy);
        var product = coming.Product;
        var facts = KnownFacts.List(course.Facts, today);
        var prescription = course.Prescriptions.OrderBy(prescription => prescription.IssuedOn).LastOrDefault();
        var patient = course.Patient;
        var (now, next) = (before.Picture(course, plan), coming.Picture(course, plan));
        IReadOnlyList<Panel> panels = [.. Panel.List(Side.Now, now.Readings), .. Panel.List(Side.New, next.Readings)];
        var drawing = panels.Count > 0 ? PictureDrawing.Of(panels, Language.English) : null;
        return new StepUpAlert
        {
            Site = course.Site.Name,
            Patient = patient.Name,
            Identifiers = patient.BornOn is LocalDate born ? $"{patient.Id}, born {DateText.Birth(born)}" : $"{patient.Id}, date of birth not on record",
            Drug = product.Drug,
            Course = course.Course.Id,
            Old = AlertStep.Of(before),
            New = AlertStep.Of(coming),
            StartsOn = DateText.Day(check.StartsOn, today),
            CheckBy = DateText.Day(check.CheckByOn, today),
            Prescriber = prescription?.Prescriber is string name ? $"{name}, {prescription.PrescriberPhone ?? "no telephone on record"}" : "not on record",
            NotGiven = AlertHistory.DescribeNotGiven(facts, plan),
            OnPresentDose = AlertHistory.DescribeOnPresentDose(plan),
            LastCount = AlertHistory.DescribeLastCount(facts, today),
            Fills = AlertHistory.ListFills(facts, today),
            DaysCovered = plan.DaysCoveredText,
            Warnings = [.. ListLarge(plan, before.Step, coming.Step), .. UnitMix.ListStrengths(before, coming), .. UnitMix.List(coming, [("the present step", before), .. others.Select(other => ($"course {other.Course.Course.Id}", StepReading.OfPresent(other.Course, other.Plan, policy)))]).Select(mixed => mixed.Text)],
            Picture = drawing is null ? string.Empty : PictureCode.Write(panels),
            PictureWords = drawing?.Description ?? string.Empty,
            PictureWidth = (drawing?.Width ?? 0) / Drawing.PerPixel,
            NoPicture = [.. new[] { (Name: "Now", Picture: now, before.Step), (Name: "New", Picture: next, coming.Step) }.Where(side => side.Picture.Readings.Count == 0).Select(side => $"{side.Name}: {side.Picture.WhyNot}{HowToSign(course, plan, side.Step)}")],
            Prompts = product.CheckPrompts ?? "How is the present dose tolerated? Were doses missed? Is the mark on the syringe understood?",
            Prepare = plan.Refill is RefillPlan refill ? $"The next supply is to be prepared on {DateText.Day(refill.PrepareOn, today)}." : "No supply is to be prepared within the horizon.",
            IfNobodySigns = DescribeIfNobodySigns(plan, before.Step.Number, today),
        };
    }

    // A dose that no check asks about is signed by itself; the one to come with the check.
    private static string HowToSign(CourseSnapshot course, CoursePlan plan, Step step) =>
        DoseSignature.ListMissing(course, plan).Contains(step) ? $" To sign it: {DoseSignature.HowTo(plan, step)}" : string.Empty;

    // A jump of the dose and too short an interval, of these two steps: the texts of their findings begin with the step.
    private static IEnumerable<string> ListLarge(CoursePlan plan, Step before, Step coming) => plan.Findings
        .Where(finding => finding.Code is FindingCode.DoseJump or FindingCode.IntervalTooShort)
        .Select(finding => finding.Text)
        .Where(text => new[] { coming, before }.Any(step => text.StartsWith($"Step {step.Number}: ", System.StringComparison.Ordinal) || text.StartsWith($"Step {step.Number} ", System.StringComparison.Ordinal)));

    private static string DescribeIfNobodySigns(CoursePlan plan, int before, LocalDate today)
    {
        var held = plan.StepUp is null ? plan.Supply.RunOutOn : plan.Supply.RunOutIfHeldOn;
        var lasts = held is LocalDate date ? $"lasts until {DateText.Day(date, today)}" : "lasts as far as the plan looks";
        return $"The new step is held back and the doses of step {before} go on; their supply {lasts}.";
    }
}
