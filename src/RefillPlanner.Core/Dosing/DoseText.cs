using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>
/// The one formatter of doses, as medication-safety bodies ask: <c>0.5 mg</c>, never <c>.5</c> or <c>1.0</c>; <c>units</c>, never a single
/// letter; <c>mcg</c>; <c>mL</c>; a space before the unit; a comma from 1,000 up. The same in English and in US Spanish.
/// </summary>
public static class DoseText
{
    /// <summary>A number with a comma from 1,000 up, a zero before the point, and no trailing zero.</summary>
    /// <example><c>Number(1250.50m)</c> is <c>1,250.5</c>.</example>
    public static string Number(decimal value) => value.ToString("#,##0.############################", CultureInfo.InvariantCulture);

    /// <summary>The unit as written.</summary>
    public static string Unit(DoseUnit unit) => unit switch
    {
        DoseUnit.Mg => "mg",
        DoseUnit.Mcg => "mcg",
        _ => "units",
    };

    /// <summary>The unit as written for a patient in a language: mass is written alike, units are a word.</summary>
    public static string Unit(DoseUnit unit, Language language) => unit == DoseUnit.Units && language == Language.Spanish ? "unidades" : Unit(unit);

    /// <summary>An amount with its unit; one unit is still written <c>units</c>, so that nothing is read as another number.</summary>
    /// <example><c>0.25 mg</c>, <c>10 units</c>, <c>5,000 units</c>.</example>
    public static string Amount(Amount amount, DoseUnit unit) => $"{Number(amount.Value)} {Unit(unit)}";

    /// <summary>The same for a patient in a language.</summary>
    public static string Amount(Amount amount, DoseUnit unit, Language language) => $"{Number(amount.Value)} {Unit(unit, language)}";

    /// <summary>The doses of a dosing day, in order.</summary>
    /// <example><c>20 units, then 30 units</c>.</example>
    public static string Doses(IReadOnlyList<Amount> doses, DoseUnit unit) => string.Join(", then ", doses.Select(dose => Amount(dose, unit)));

    /// <summary>A volume in mL.</summary>
    /// <example><c>0.15 mL</c>.</example>
    public static string Volume(Volume volume) => $"{Number(volume.Ml)} mL";

    /// <summary>A strength: per mL where that is an exact decimal, else as the label has it.</summary>
    /// <example><c>2.5 mg/mL</c>; <c>2 mg in 1.5 mL</c>.</example>
    public static string Strength(Strength strength, DoseUnit unit)
    {
        var perMl = (System.Int128)strength.Amount.Billionths * Ledger.Volume.PerMl;
        return perMl % strength.Per.Nanolitres == 0
            ? $"{Amount(new Amount((long)(perMl / strength.Per.Nanolitres)), unit)}/mL"
            : $"{Amount(strength.Amount, unit)} in {Volume(strength.Per)}";
    }

    /// <summary>A mark as printed on a barrel: the value, never a count of lines.</summary>
    /// <example><c>15 units (0.15 mL) on the 0.5 mL U-100 syringe, 1 unit a line</c>.</example>
    public static string Mark(Volume mark, Device device) => Mark(mark, Dosing.Barrel.Of(device));

    /// <summary>The same of a barrel.</summary>
    public static string Mark(Volume mark, Barrel barrel) => barrel.UnitsPerMl is null
        ? $"{Volume(mark)} on the {Barrel(barrel)}, {Volume(barrel.Graduation)} a line"
        : $"{Number(barrel.Printed(mark))} units ({Volume(mark)}) on the {Barrel(barrel)}, {Line(barrel.Printed(barrel.Graduation))} a line";

    /// <summary>The same for a patient in a language.</summary>
    /// <example><c>15 unidades (0.15 mL) en la jeringa U-100 de 0.5 mL, 1 unidad por línea</c>.</example>
    public static string Mark(Volume mark, Barrel barrel, Language language) => (language, barrel.UnitsPerMl) switch
    {
        (Language.Spanish, null) => $"{Volume(mark)} en la jeringa de {Volume(barrel.Capacity)} marcada en mL, {Volume(barrel.Graduation)} por línea",
        (Language.Spanish, decimal perMl) => $"{Number(barrel.Printed(mark))} unidades ({Volume(mark)}) en la jeringa U-{Number(perMl)} de {Volume(barrel.Capacity)}, {SpanishLine(barrel.Printed(barrel.Graduation))} por línea",
        _ => Mark(mark, barrel),
    };

    /// <summary>How one dose is drawn, dialled or given, in words that name the printed value.</summary>
    /// <param name="draw">The draw.</param>
    /// <param name="product">The product.</param>
    /// <param name="device">The syringe; null for a pen or a prefilled syringe.</param>
    /// <param name="dose">The dose ordered.</param>
    public static string Draw(Draw draw, Product product, Device? device, Amount dose) => product.Kind switch
    {
        _ when draw.Stop is not null => "no mark can be shown",
        ProductKind.PrefilledSyringe => $"one prefilled syringe of {Amount(product.DoseAmount!.Value, product.Unit)}",
        ProductKind.Pen when draw.Injections == 1 => $"dial {Amount(dose, product.Unit)} ({Volume(draw.Marks[0])}) on the pen",
        ProductKind.Pen => $"{draw.Injections} injections with the pen: {string.Join(", then ", draw.Marks.Select(mark => $"{Amount(Dialled(mark, product), product.Unit)} ({Volume(mark)})"))}",
        _ => string.Join(", then ", draw.Marks.Select(mark => Mark(mark, device!))),
    };

    /// <summary>What a barrel is called by its own markings.</summary>
    /// <example><c>0.5 mL U-100 syringe</c>; <c>1 mL syringe marked in mL</c>.</example>
    public static string Barrel(Barrel barrel) => barrel.UnitsPerMl is decimal perMl
        ? $"{Volume(barrel.Capacity)} U-{Number(perMl)} syringe"
        : $"{Volume(barrel.Capacity)} syringe marked in mL";

    /// <summary>What each injection of a pen is dialled to, in order; of a dose that is not on the dial, the nearest steps.</summary>
    internal static IReadOnlyList<Amount> Dialled(Draw draw, Product product, Amount dose) =>
        draw.Injections == 1 ? [dose] : [.. draw.Marks.Select(mark => Dialled(mark, product))];

    private static string SpanishLine(decimal units) => units == 1 ? "1 unidad" : $"{Number(units)} unidades";

    private static string Line(decimal units) => units == 1 ? "1 unit" : $"{Number(units)} units";

    // The whole number of dial steps nearest to a volume: the mark was rounded down to a nanolitre.
    private static Amount Dialled(Volume mark, Product product)
    {
        var strength = product.Strength!.Value;
        var exact = (System.Int128)mark.Nanolitres * strength.Amount.Billionths;
        var step = product.DialStep!.Value.Billionths;
        var steps = Exact.NearestQuotientTieDown(exact, (System.Int128)strength.Per.Nanolitres * step);
        return new Amount((long)(steps * step));
    }
}
