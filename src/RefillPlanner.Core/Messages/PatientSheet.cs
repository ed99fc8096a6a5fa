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
/// <param name="From">Its first day on the sheet, in words.</param>
/// <param name="Dose">The doses of a dosing day.</param>
/// <param name="Rhythm">How often.</param>
/// <param name="Marks">What each injection is read off, in words; empty: no mark may be shown.</param>
/// <param name="Picture">The picture as SVG; empty: none.</param>
/// <param name="WhyNot">Why there is none; empty: there is one.</param>
public sealed record SheetStep(string From, string Dose, string Rhythm, IReadOnlyList<string> Marks, string Picture, string WhyNot);

/// <summary>A dosing day of the sheet.</summary>
/// <param name="On">The day.</param>
/// <param name="Day">The day in words.</param>
/// <param name="Dose">The doses of the day.</param>
/// <param name="Places">Where each injection goes.</param>
public sealed record SheetDay(LocalDate On, string Day, string Dose, IReadOnlyList<string> Places);

/// <summary>A page to print for a patient: the dosing days of the next 8 weeks, as recorded and signed.</summary>
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

    /// <summary>The course.</summary>
    public required string Course { get; init; }

    /// <summary>Generic name of the drug.</summary>
    public required string Drug { get; init; }

    /// <summary>The label's words; empty: none on record.</summary>
    public required string Label { get; init; }

    /// <summary>The day on which it was made, in words.</summary>
    public required string MadeOn { get; init; }

    /// <summary>The steps whose days are on it, in order.</summary>
    public required IReadOnlyList<SheetStep> Steps { get; init; }

    /// <summary>Whether a dose on it is drawn from a vial with a syringe: air then comes with it.</summary>
    public required bool IsDrawn { get; init; }

    /// <summary>What may be mixed up: see <see cref="UnitMix"/>; empty: nothing.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }

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
        var days = SheetDosing.Of(course, plan).Days;
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
    /// <param name="others">The patient's other courses with their plans: their syringes may be mixed up with this one's.</param>
    /// <exception cref="System.ArgumentException">There is no sheet: see <see cref="WhyNot"/>.</exception>
    public static PatientSheet Of(CourseSnapshot course, CoursePlan plan, Policy policy, params IReadOnlyList<(CourseSnapshot Course, CoursePlan Plan)> others)
    {
        if (WhyNot(course, plan) is string reason)
            throw new System.ArgumentException($"Course {course.Course.Id} has no sheet: {reason}", nameof(plan));
        var (today, language) = (plan.AsOf, course.Patient.Language);
        var dosing = SheetDosing.Of(course, plan);
        var days = dosing.Days;
        var readings = days.Select(day => day.Step).Distinct().ToDictionary(step => step, step => StepReading.Of(course, step, policy));
        var product = readings[days[0].Step].Product;
        int Injections(Step step) => (readings.GetValueOrDefault(step) ?? StepReading.Of(course, step, policy)).Injections;
        return new PatientSheet
        {
            Language = language,
            Site = course.Site.Name,
            Phone = course.Site.Phone ?? string.Empty,
            Patient = course.Patient.Name,
            PatientId = course.Patient.Id,
            Course = course.Course.Id,
            Drug = product.Drug,
            Label = (language == Language.Spanish ? product.LabelEs : product.LabelEn) ?? string.Empty,
            MadeOn = DateText.Day(today, LocalDate.MinIsoValue, language),
            Steps = [.. readings.Values.Select((reading, index) => Describe(reading, DateText.Day(DayNumber.Date(days.First(day => day.Step == reading.Step).Day), today, language), reading.Picture(course, plan, language), language, $"step-{index}"))],
            IsDrawn = readings.Values.Any(reading => reading.Barrel is not null),
            Warnings = UnitMix.ListForPatient([.. readings.Values], [.. others.Select(other => StepReading.OfPresent(other.Course, other.Plan, policy))], language),
            DosingDays = [.. days.Select(day => Describe(DayNumber.Date(day.Day), readings[day.Step], dosing.CountInjectionsBefore(day.Day, Injections), today, language))],
            WaitsFrom = dosing.WaitsFrom is int from ? DateText.Day(DayNumber.Date(from), today, language) : string.Empty,
            Discards = [.. plan.Discards.Where(discard => discard.IsOpen && discard.DiscardOn < today.PlusDays(Days)).Select(discard => new DiscardLine(DateText.Day(discard.LastUseOn, today, language), DateText.Day(discard.DiscardOn, today, language)))],
            Caution = Cautions.Patient(language, course.Site.EmergencyNumber),
        };
    }

    private static SheetStep Describe(StepReading reading, string from, DosePicture picture, Language language, string id)
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
            from,
            Doses(reading, language),
            rhythm,
            [.. picture.Readings.Select(read => read.Say(language))],
            picture.Readings.Count == 0 ? string.Empty : DrawingSvg.Write(PictureDrawing.Of(Panel.List(Side.Alone, Drawn(picture.Readings)), language), id),
            picture.WhyNot.Length > 0 && reading.Product.Kind != ProductKind.PrefilledSyringe && language == Language.English ? $"{picture.WhyNot} Please ask us before you inject." : picture.WhyNot);
    }

    // Injections that are all alike are drawn once; else each has its number.
    private static IReadOnlyList<Reading> Drawn(IReadOnlyList<Reading> readings) => readings.Distinct().Count() == 1 ? [readings[0]] : readings;

    private static SheetDay Describe(LocalDate day, StepReading reading, long injectionsBefore, LocalDate today, Language language) => new(
        day,
        DateText.Day(day, today, language),
        Doses(reading, language),
        InjectionPlaces.List(injectionsBefore, reading.Injections, language));

    private static string Doses(StepReading reading, Language language) =>
        string.Join(language == Language.Spanish ? ", luego " : ", then ", reading.Doses.Select(dose => DoseText.Amount(dose.Dose, reading.Product.Unit, language)));
}
