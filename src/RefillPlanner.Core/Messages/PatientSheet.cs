using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Messages;

/// <summary>A step as the patient's sheet shows it.</summary>
/// <param name="Dose">The doses of a dosing day.</param>
/// <param name="Rhythm">How often.</param>
/// <param name="Marks">What each injection is read off, in words; empty: no mark may be shown.</param>
/// <param name="Picture">The picture as SVG; empty: none.</param>
/// <param name="WhyNot">Why there is none; empty: there is one.</param>
public sealed record SheetStep(string Dose, string Rhythm, IReadOnlyList<string> Marks, string Picture, string WhyNot);

/// <summary>A dosing day of the sheet.</summary>
/// <param name="Day">The day in words.</param>
/// <param name="Dose">The doses of the day.</param>
/// <param name="Places">Where each injection goes.</param>
public sealed record SheetDay(string Day, string Dose, IReadOnlyList<string> Places);

/// <summary>One printed page for a patient: the dosing days of the next 8 weeks, as recorded and signed.</summary>
public sealed record PatientSheet
{
    /// <summary>How many days it covers, the as-of date included.</summary>
    public const int Days = 56;

    /// <summary>Its language.</summary>
    public required Language Language { get; init; }

    /// <summary>The site's name.</summary>
    public required string Site { get; init; }

    /// <summary>The site's telephone; empty: none on record.</summary>
    public required string Phone { get; init; }

    /// <summary>The patient's name.</summary>
    public required string Patient { get; init; }

    /// <summary>The second identifier: the patient's id.</summary>
    public required string PatientId { get; init; }

    /// <summary>Generic name of the drug.</summary>
    public required string Drug { get; init; }

    /// <summary>The label's words; empty: none on record.</summary>
    public required string Label { get; init; }

    /// <summary>The day on which it was made, in words.</summary>
    public required string MadeOn { get; init; }

    /// <summary>The steps whose days are on it, in order.</summary>
    public required IReadOnlyList<SheetStep> Steps { get; init; }

    /// <summary>The dosing days.</summary>
    public required IReadOnlyList<SheetDay> DosingDays { get; init; }

    /// <summary>From when on the dose waits for a pharmacist, in words; empty: it waits for nobody within these weeks.</summary>
    public required string WaitsFrom { get; init; }

    /// <summary>Open containers that end within these weeks.</summary>
    public required IReadOnlyList<DiscardLine> Discards { get; init; }

    /// <summary>The caution.</summary>
    public required string Caution { get; init; }

    /// <summary>Why there is no sheet: for a pharmacist; null: there is one.</summary>
    /// <param name="course">The course.</param>
    /// <param name="plan">Its plan of the day.</param>
    public static string? WhyNot(CourseSnapshot course, CoursePlan plan)
    {
        if (course.Patient.Status != PatientStatus.Active)
            return $"{course.Patient.Id} is not cared for at home now.";
        if (plan.Supply.Outcome == Outcome.NotComputed)
            return "Nothing is computed for this course. A person must look first.";
        var facts = KnownFacts.List(course.Facts, plan.AsOf);
        var days = SheetDays(course, facts, plan);
        if (days.Count == 0)
            return $"No dosing day that is decided falls into the next {Days} days.";
        return days.Select(day => day.Step).Distinct()
            .Where(step => DoseSignature.IsJump(step, plan) && !DoseSignature.IsGiven(course, step, plan))
            .Select(step => $"Step {step.Number} is a jump of the dose, and no pharmacist has signed it. To sign it: {DoseSignature.HowTo(plan, step)}")
            .FirstOrDefault();
    }

    /// <summary>Makes the sheet.</summary>
    /// <param name="course">The course; its patient's language is the sheet's.</param>
    /// <param name="plan">Its plan of the day.</param>
    /// <param name="policy">The site's settings.</param>
    /// <exception cref="System.ArgumentException">There is no sheet: see <see cref="WhyNot"/>.</exception>
    public static PatientSheet Of(CourseSnapshot course, CoursePlan plan, Policy policy)
    {
        if (WhyNot(course, plan) is string reason)
            throw new System.ArgumentException($"Course {course.Course.Id} has no sheet: {reason}", nameof(plan));
        var (today, language) = (plan.AsOf, course.Patient.Language);
        var facts = KnownFacts.List(course.Facts, today);
        var days = SheetDays(course, facts, plan);
        var readings = days.Select(day => day.Step).Distinct().ToDictionary(step => step, step => StepReading.Of(course, step, policy));
        var product = readings[days[0].Step].Product;
        return new PatientSheet
        {
            Language = language,
            Site = course.Site.Name,
            Phone = course.Site.Phone ?? string.Empty,
            Patient = course.Patient.Name,
            PatientId = course.Patient.Id,
            Drug = product.Drug,
            Label = (language == Language.Spanish ? product.LabelEs : product.LabelEn) ?? string.Empty,
            MadeOn = DateText.Day(today, LocalDate.MinIsoValue, language),
            Steps = [.. readings.Values.Select((reading, index) => Describe(reading, reading.Picture(course, plan, language), language, $"step-{index}"))],
            DosingDays = [.. days.Select(day => Describe(day.Day, readings[day.Step], today, language))],
            WaitsFrom = FindWaiting(course, facts, plan) is int from ? DateText.Day(DayNumber.Date(from), today, language) : string.Empty,
            Discards = [.. plan.Discards.Where(discard => discard.IsOpen && discard.DiscardOn < today.PlusDays(Days)).Select(discard => new DiscardLine(DateText.Day(discard.LastUseOn, today, language), DateText.Day(discard.DiscardOn, today, language)))],
            Caution = Cautions.Patient(language, course.Site.EmergencyNumber),
        };
    }

    private static SheetStep Describe(StepReading reading, DosePicture picture, Language language, string id)
    {
        var step = reading.Step;
        var rhythm = (step.EveryDays, language) switch
        {
            (1, Language.Spanish) => "cada día",
            (1, _) => "every day",
            (_, Language.Spanish) => $"cada {step.EveryDays} días",
            _ => $"every {step.EveryDays} days",
        };
        return new SheetStep(
            Doses(reading, language),
            rhythm,
            [.. picture.Readings.Select(read => read.Say(language))],
            picture.Readings.Count == 0 ? string.Empty : DrawingSvg.Write(PictureDrawing.Of(Panel.List(Side.Alone, [.. picture.Readings.Distinct()]), language), id),
            picture.WhyNot.Length > 0 && reading.Product.Kind != ProductKind.PrefilledSyringe && language == Language.English ? $"{picture.WhyNot} Please ask us before you inject." : picture.WhyNot);
    }

    private static SheetDay Describe(int day, StepReading reading, LocalDate today, Language language) => new(
        DateText.Day(DayNumber.Date(day), today, language),
        Doses(reading, language),
        InjectionPlaces.List(day, reading.Step.EveryDays, reading.Doses.Sum(dose => dose.Draw.Injections), language));

    private static string Doses(StepReading reading, Language language) =>
        string.Join(language == Language.Spanish ? ", luego " : ", then ", reading.Doses.Select(dose => DoseText.Amount(dose.Dose, reading.Product.Unit, language)));

    // The dosing days of these weeks up to the first that waits for a pharmacist, paused ones left out.
    private static List<(int Day, Step Step)> SheetDays(CourseSnapshot course, IReadOnlyList<Fact> facts, CoursePlan plan)
    {
        var (from, until) = (DayNumber.Of(plan.AsOf), FindWaiting(course, facts, plan) ?? DayNumber.Of(plan.AsOf) + Days);
        var days = Resolve(course, facts, plan);
        return
        [
            .. days.Stretches
                .Where(stretch => !stretch.IsPaused)
                .SelectMany(stretch => Enumerable.Range(0, stretch.Count).Select(count => (Day: stretch.FirstDay + count * stretch.EveryDays, days.Steps[stretch.Step].Step)))
                .Where(day => day.Day >= from && day.Day < until)
                .OrderBy(day => day.Day),
        ];
    }

    private static int? FindWaiting(CourseSnapshot course, IReadOnlyList<Fact> facts, CoursePlan plan)
    {
        var days = Resolve(course, facts, plan);
        return days.FindUndecided() is int step && days.Steps[step].BeginsOn is int begins && begins < DayNumber.Of(plan.AsOf) + Days ? begins : null;
    }

    private static DosingDays Resolve(CourseSnapshot course, IReadOnlyList<Fact> facts, CoursePlan plan) =>
        Dosing.DosingDays.Resolve(course, facts, plan.AsOf, DayNumber.Of(plan.AsOf) + Days);
}
