using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Messages;

/// <summary>A number that means two volumes.</summary>
/// <param name="Number">The number, as it is printed or dialled.</param>
/// <param name="Meant">What it is to mean; of a dose in mg or mcg, the volume of the dose.</param>
/// <param name="Other">What it means elsewhere, or as a number of units.</param>
/// <param name="Text">In one sentence or two, for a pharmacist who decides.</param>
/// <param name="Short">In one sentence, for whoever hands over.</param>
public sealed record MixedNumber(decimal Number, Volume Meant, Volume Other, string Text, string Short);

/// <summary>
/// Where one number means two volumes: on two barrels or pens of one patient, or because a dose in mg or mcg is also a number of units on the
/// barrel. Taking one for the other is the well-known ten-fold error.
/// </summary>
public static class UnitMix
{
    /// <summary>
    /// What may be mixed up about the doses that a patient draws now, or draws from what is handed over next: within the course, and with the patient's other
    /// courses. Empty: nothing; or nothing is computed, and no mark is shown.
    /// </summary>
    /// <param name="course">The course.</param>
    /// <param name="plan">Its plan of the day.</param>
    /// <param name="policy">The site's settings.</param>
    /// <param name="others">The patient's other courses with their plans; those that have ended or are not computed say nothing.</param>
    public static IReadOnlyList<MixedNumber> ListOf(CourseSnapshot course, CoursePlan plan, Policy policy, IEnumerable<(CourseSnapshot Course, CoursePlan Plan)> others)
    {
        if (!IsDrawn(plan))
            return [];
        var steps = (plan.Refill?.Items ?? []).Select(item => item.Step).Append(plan.Supply.Step).Distinct().Order().ToArray();
        (string Name, StepReading Reading)[] own = [.. course.ListLadder(plan.Supply.Ladder).Where(step => steps.Contains(step.Number)).Select(step => ($"step {step.Number}", StepReading.Of(course, step, policy)))];
        (string Name, StepReading Reading)[] elsewhere = [.. others.Where(other => IsDrawn(other.Plan)).Select(other => ($"course {other.Course.Course.Id}", StepReading.OfPresent(other.Course, other.Plan, policy)))];
        var mixed = own.SelectMany(step => ListMassAsUnits(step.Reading)
            .Concat(own.Where(other => other.Name != step.Name).Concat(elsewhere).SelectMany(other => ListOtherGauge(step.Name, step.Reading, other.Name, other.Reading))));
        return [.. mixed.DistinctBy(number => number.Text)];
    }

    /// <summary>What may be mixed up at a step that is to come.</summary>
    /// <param name="coming">The step to come.</param>
    /// <param name="others">The present step, and the present steps of the patient's other courses, each with what to call it.</param>
    internal static IReadOnlyList<MixedNumber> List(StepReading coming, IReadOnlyList<(string Name, StepReading Reading)> others) =>
    [
        .. ListMassAsUnits(coming),
        .. others.SelectMany(other => ListOtherGauge("the new step", coming, other.Name, other.Reading).Concat(ListOtherGauge(other.Name, other.Reading, "the new step", coming))),
    ];

    /// <summary>Another strength: the same mark is then another dose.</summary>
    internal static IEnumerable<string> ListStrengths(StepReading before, StepReading coming)
    {
        if (before.Product.Strength is Strength old && coming.Product.Strength is Strength next && before.Product.Unit == coming.Product.Unit && !old.Equals(next))
            yield return $"Another strength: {DoseText.Strength(old, before.Product.Unit)} now, {DoseText.Strength(next, coming.Product.Unit)} in the new step. The same mark is another dose.";
    }

    /// <summary>
    /// The same for the patient's sheet, in plain words: two syringes on which one number is two volumes, vials of two strengths, and a dose in mg or mcg whose number is
    /// another mark. Pens are left out: their window shows the dose itself.
    /// </summary>
    /// <param name="shown">The steps on the sheet.</param>
    /// <param name="others">The present steps of the patient's other courses.</param>
    /// <param name="language">Of the words.</param>
    internal static IReadOnlyList<string> ListForPatient(IReadOnlyList<StepReading> shown, IReadOnlyList<StepReading> others, Language language)
    {
        var isSpanish = language == Language.Spanish;
        var mixed = shown.SelectMany(one => shown.Concat(others).Where(other => MixesBarrels(one, other)).SelectMany(other => new[] { one.Barrel, other.Barrel })).Distinct().Count();
        var warnings = new List<string>();
        if (mixed > 0)
        {
            warnings.Add(isSpanish
                ? $"El mismo número en sus {(mixed == 2 ? "dos " : string.Empty)}jeringas no es la misma cantidad. Use solo la jeringa que esta hoja dice para esta dosis."
                : $"The same number on your {(mixed == 2 ? "two " : string.Empty)}syringes is not the same amount. Use only the syringe that this sheet names for the dose.");
        }

        if (shown.Zip(shown.Skip(1)).Any(pair => pair.First.Barrel is not null && pair.Second.Barrel is not null && ListStrengths(pair.First, pair.Second).Any()))
        {
            warnings.Add(isSpanish
                ? "Sus frascos no son igual de fuertes. La misma marca es otra dosis. Lea la etiqueta cada vez."
                : "Your vials are not of one strength. The same mark is another dose. Read the label each time.");
        }

        foreach (var (unit, number) in shown.SelectMany(step => ListMassAsUnits(step).Select(mix => (step.Product.Unit, mix.Number))).DistinctBy(mix => mix.Number))
        {
            var (amount, text) = (DoseText.Amount(Amount.From(number), unit), DoseText.Number(number));
            warnings.Add(isSpanish ? $"La dosis es de {amount}. No es el {text} de su jeringa." : $"The dose is {amount}. It is not the {text} on your syringe.");
        }

        return warnings;
    }

    private static bool MixesBarrels(StepReading one, StepReading other) =>
        one.Barrel is not null && other.Barrel is not null && (IsMixed(one, other) || IsMixed(other, one));

    private static bool IsMixed(StepReading step, StepReading other) =>
        step.ListNumbers().Any(read => Find(other, read.Number) is Volume otherVolume && otherVolume != read.Volume);

    private static bool IsDrawn(CoursePlan plan) => plan.Supply.Outcome is not (Outcome.Ends or Outcome.NotComputed);

    // A dose of 10 mg beside a printed 10 that is no 10 mg.
    private static IEnumerable<MixedNumber> ListMassAsUnits(StepReading step)
    {
        if (step.Product.Unit == DoseUnit.Units || step.Barrel is not { UnitsPerMl: not null } barrel)
            yield break;
        foreach (var (dose, draw) in step.Doses.DistinctBy(item => item.Dose))
        {
            if (draw.Marks.Count == 0)
                continue;
            var meant = draw.Marks.Aggregate((sum, mark) => sum + mark);
            if (Find(step, dose.Value) is not Volume read || read == meant)
                continue;
            var (amount, number) = (DoseText.Amount(dose, step.Product.Unit), DoseText.Number(dose.Value));
            var marks = string.Join(", then ", draw.Marks.Select(mark => DoseText.Mark(mark, barrel)));
            yield return new MixedNumber(
                dose.Value,
                meant,
                read,
                $"Units and {DoseText.Unit(step.Product.Unit)} differ: the dose is {amount}, and the syringe has a mark {number} that is another dose ({DoseText.Volume(read)}). The dose is {marks}.",
                $"Show the mark: {amount} is {marks}, and not the mark {number}.");
        }
    }

    private static IEnumerable<MixedNumber> ListOtherGauge(string name, StepReading step, string otherName, StepReading other)
    {
        foreach (var (number, volume, words) in step.ListNumbers().DistinctBy(read => read.Number))
        {
            if (Find(other, number) is Volume read && read != volume)
            {
                var (here, there) = ($"{DoseText.Volume(volume)} on {words}", $"{DoseText.Volume(read)} on {other.GaugeWords} of {otherName}");
                yield return new MixedNumber(
                    number,
                    volume,
                    read,
                    $"One number, two volumes: {DoseText.Number(number)} is {here} of {name}, and {there}.",
                    $"Say which syringe: {DoseText.Number(number)} is {here}, and {there}.");
            }
        }
    }

    // The volume that a number means on the barrel or the pen of a step; null: it has no such number.
    private static Volume? Find(StepReading step, decimal number)
    {
        if (number <= 0)
            return null;
        if (step.Barrel is Barrel barrel)
        {
            return number <= barrel.Printed(barrel.Capacity) && number % barrel.Printed(barrel.Graduation) == 0
                ? Volume.FromMl(barrel.UnitsPerMl is decimal perMl ? number / perMl : number)
                : null;
        }

        var product = step.Product;
        if (product.Kind != ProductKind.Pen || number > product.DialMax!.Value.Value || number % product.DialStep!.Value.Value != 0)
            return null;
        var strength = product.Strength!.Value;
        return new Volume((long)((System.Int128)Amount.From(number).Billionths * strength.Per.Nanolitres / strength.Amount.Billionths));
    }
}
