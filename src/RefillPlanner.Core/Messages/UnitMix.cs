using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>
/// Where one number means two volumes: on two barrels or pens of one patient, or because a dose in mg or mcg is also a number of units on the
/// barrel. Taking one for the other is the well-known ten-fold error.
/// </summary>
internal static class UnitMix
{
    /// <summary>What may be mixed up at a step that is to come.</summary>
    /// <param name="coming">The step to come.</param>
    /// <param name="others">The present step, and the present steps of the patient's other courses, each with what to call it.</param>
    public static IReadOnlyList<string> List(StepReading coming, IReadOnlyList<(string Name, StepReading Reading)> others) =>
    [
        .. ListMassAsUnits(coming).Select(SayMassAsUnits),
        .. others.SelectMany(other => ListOtherGauge("the new step", coming, other.Name, other.Reading).Concat(ListOtherGauge(other.Name, other.Reading, "the new step", coming))),
    ];

    /// <summary>Another strength: the same mark is then another dose.</summary>
    public static IEnumerable<string> ListStrengths(StepReading before, StepReading coming)
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
    public static IReadOnlyList<string> ListForPatient(IReadOnlyList<StepReading> shown, IReadOnlyList<StepReading> others, Language language)
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

        foreach (var (step, dose, _, _) in shown.SelectMany(ListMassAsUnits).DistinctBy(mix => mix.Dose))
        {
            var (amount, number) = (DoseText.Amount(dose, step.Product.Unit), DoseText.Number(dose.Value));
            warnings.Add(isSpanish ? $"La dosis es de {amount}. No es el {number} de su jeringa." : $"The dose is {amount}. It is not the {number} on your syringe.");
        }

        return warnings;
    }

    private static bool MixesBarrels(StepReading one, StepReading other) =>
        one.Barrel is not null && other.Barrel is not null && (IsMixed(one, other) || IsMixed(other, one));

    private static bool IsMixed(StepReading step, StepReading other) =>
        step.ListNumbers().Any(read => Find(other, read.Number) is Volume otherVolume && otherVolume != read.Volume);

    private static string SayMassAsUnits((StepReading Step, Amount Dose, Volume Read, Draw Draw) mix)
    {
        var (unit, dose) = (mix.Step.Product.Unit, mix.Dose);
        return $"Units and {DoseText.Unit(unit)} differ: the dose is {DoseText.Amount(dose, unit)}, and the syringe has a mark {DoseText.Number(dose.Value)} that is another dose ({DoseText.Volume(mix.Read)}). The dose is {string.Join(", then ", mix.Draw.Marks.Select(mark => DoseText.Mark(mark, mix.Step.Barrel!)))}.";
    }

    // A dose of 10 mg beside a printed 10 that is no 10 mg.
    private static IEnumerable<(StepReading Step, Amount Dose, Volume Read, Draw Draw)> ListMassAsUnits(StepReading step)
    {
        if (step.Product.Unit == DoseUnit.Units || step.Barrel is not { UnitsPerMl: not null })
            yield break;
        foreach (var (dose, draw) in step.Doses.DistinctBy(item => item.Dose))
        {
            if (draw.Marks.Count == 0 || Find(step, dose.Value) is not Volume read || read == draw.Marks.Aggregate((sum, mark) => sum + mark))
                continue;
            yield return (step, dose, read, draw);
        }
    }

    private static IEnumerable<string> ListOtherGauge(string name, StepReading step, string otherName, StepReading other)
    {
        foreach (var (number, volume, words) in step.ListNumbers().DistinctBy(read => read.Number))
        {
            if (Find(other, number) is Volume read && read != volume)
                yield return $"One number, two volumes: {DoseText.Number(number)} is {DoseText.Volume(volume)} on {words} of {name}, and {DoseText.Volume(read)} on {other.GaugeWords} of {otherName}.";
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
