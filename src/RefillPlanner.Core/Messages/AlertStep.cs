using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>A step, as the pharmacist sees it: dose, strength, and what it reads on this patient's barrel or pen.</summary>
/// <param name="Number">Its number.</param>
/// <param name="Dose">The doses of a dosing day.</param>
/// <param name="Rhythm">How often.</param>
/// <param name="Strength">Strength of the product.</param>
/// <param name="Volume">Volume of each injection.</param>
/// <param name="Mark">What is read off the barrel or dialled, in words.</param>
/// <param name="Warnings">What is doubtful about its marks.</param>
public sealed record AlertStep(int Number, string Dose, string Rhythm, string Strength, string Volume, string Mark, IReadOnlyList<string> Warnings)
{
    internal static AlertStep Of(StepReading reading)
    {
        var (step, product, device, doses) = reading;
        return new AlertStep(
            step.Number,
            DoseText.Doses(step.Doses, product.Unit),
            step.EveryDays == 1 ? "every day" : $"every {step.EveryDays} days",
            product.Strength is Strength strength ? DoseText.Strength(strength, product.Unit) : "prefilled",
            string.Join(", then ", doses.SelectMany(item => item.Draw.Marks).Select(DoseText.Volume)) is { Length: > 0 } volumes ? volumes : "fixed by the syringe",
            string.Join("; then ", doses.Select(item => DoseText.Draw(item.Draw, product, device, item.Dose))),
            [.. doses.SelectMany(item => item.Draw.Findings).Select(finding => finding.Text).Concat(doses.Select(item => item.Draw.Stop?.Text).OfType<string>()).Distinct()]);
    }
}
