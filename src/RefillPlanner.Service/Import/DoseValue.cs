using System.Collections.Generic;
using System.Diagnostics.CodeAnalysis;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>The doses of a dosing day, <c>20;30</c> or <c>500 mcg</c>, in the unit of their product.</summary>
internal static class DoseValue
{
    private const int MostDoses = 50;

    /// <summary>Reads doses in a product's unit. mg and mcg convert exactly; mass and units never convert into each other.</summary>
    public static FieldParser<IReadOnlyList<Amount>> In(DoseUnit unit) => (string text, [MaybeNullWhen(false)] out IReadOnlyList<Amount> value, out string reason) =>
    {
        value = null;
        var doses = new List<Amount>();
        foreach (var item in text.Split(';'))
        {
            if (!TryDose(item.Trim(' '), unit, out var dose, out reason))
            {
                reason = text.Contains(';') ? $"'{item}' {reason}" : reason;
                return false;
            }

            doses.Add(dose);
        }

        reason = doses.Count > MostDoses ? "has more than 50 doses a day" : "";
        value = doses;
        return reason.Length == 0;
    };

    private static bool TryDose(string text, DoseUnit unit, out Amount dose, out string reason)
    {
        dose = default;
        if (text.Length == 0)
        {
            reason = "is no dose; doses have a semicolon between them";
            return false;
        }

        var split = text.Length;
        while (split > 0 && (char.IsLetter(text[split - 1]) || text[split - 1] is 'µ'))
            split--;
        var written = unit;
        if (split < text.Length && split > 0 && !IsUnit(text[split..], out written, out reason))
            return false;
        if (!FieldValue.Decimal(split == 0 ? text : text[..split].TrimEnd(' '), out var number, out reason))
            return false;
        if (written != unit && (written == DoseUnit.Units || unit == DoseUnit.Units))
        {
            reason = $"the product is dosed in {Kebab.Of(unit)}, and mass and units never convert";
            return false;
        }

        var amount = (written, unit) switch
        {
            (DoseUnit.Mg, DoseUnit.Mcg) => number * 1000,
            (DoseUnit.Mcg, DoseUnit.Mg) => number / 1000,
            _ => number,
        };
        if (amount is <= 0 or > 1_000_000)
        {
            reason = "a dose is above 0 and at most 1000000";
            return false;
        }

        dose = Amount.From(amount);
        return true;
    }

    private static bool IsUnit(string text, out DoseUnit unit, out string reason)
    {
        if (FieldValue.Unit(text, out unit, out reason))
            return true;
        if (text is "mL" or "ml" or "ML" or "cc")
            reason = "a dose is an amount of drug in mg, mcg or units, not a volume";
        return false;
    }
}
