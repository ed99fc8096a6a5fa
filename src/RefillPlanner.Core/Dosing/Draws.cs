using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Dosing;

/// <summary>From a dose to what is read off the barrel or dialled (supply model, section 2).</summary>
public static class Draws
{
    /// <summary>How a dose leaves a container of a product.</summary>
    /// <param name="product">The product of the step.</param>
    /// <param name="device">The syringe; null for a pen or a prefilled syringe, which need none.</param>
    /// <param name="expelled">Pushed out with the air at each injection; only of a vial.</param>
    /// <param name="dose">In the product's unit; above zero.</param>
    /// <param name="offMarksPercent">Largest error that counts as rounding.</param>
    /// <exception cref="ArgumentException">A vial without a syringe: the import refuses such a step.</exception>
    /// <example>
    /// 0.25 mg at 2.5 mg/mL on a 1 mL U-100 barrel with 0.01 mL lines: one injection, mark 0.1 mL (10 units).
    /// </example>
    public static Draw Of(Product product, Device? device, Volume expelled, Amount dose, int offMarksPercent) => product.Kind switch
    {
        ProductKind.PrefilledSyringe => OfPrefilled(product, dose),
        ProductKind.Pen => OfPen(product, dose),
        _ => OfVial(product, device ?? throw new ArgumentException($"Product {product.Id} is drawn with a syringe, and there is none.", nameof(device)), expelled, dose, offMarksPercent),
    };

    private static Draw OfPrefilled(Product product, Amount dose)
    {
        var held = product.DoseAmount!.Value;
        return new Draw
        {
            Injections = 1,
            Marks = [],
            Needed = [Volume.Zero],
            Delivered = Exact.HalfEven(held.Billionths, Amount.PerUnit, 6),
            ErrorPercent = ErrorPercent(held.Billionths, 1, dose),
            Stop = held == dose ? null : new Finding(FindingCode.DoseNotInSyringe, $"The dose is {DoseText.Amount(dose, product.Unit)}, the prefilled syringe holds {DoseText.Amount(held, product.Unit)}."),
        };
    }

    private static Draw OfPen(Product product, Amount dose)
    {
        var strength = product.Strength!.Value;
        var injections = (int)Exact.CeilingQuotient(dose.Billionths, product.DialMax!.Value.Billionths);
        var dialStep = product.DialStep!.Value.Billionths;
        var (steps, rest) = long.DivRem(dose.Billionths, dialStep);
        var findings = new List<Finding>();

        // Volume of a dialled amount: amount x per / strength amount, rounded down to a whole nanolitre.
        Volume Dialled(Int128 billionths, Int128 parts) =>
            new((long)(billionths * strength.Per.Nanolitres / (parts * strength.Amount.Billionths)));

        IReadOnlyList<Volume> marks;
        if (rest == 0)
        {
            marks = [.. Deal(steps, injections).Select(part => Dialled((Int128)part * dialStep, 1))];
        }
        else
        {
            marks = [.. Enumerable.Repeat(Dialled(dose.Billionths, injections), injections)];
            findings.Add(new Finding(FindingCode.DoseOffDial, $"{DoseText.Amount(dose, product.Unit)} is no whole number of the pen's steps of {DoseText.Amount(product.DialStep.Value, product.Unit)}."));
        }

        if (injections > 1)
        {
            var dealt = rest == 0
                ? string.Join(", then ", Deal(steps, injections).Select(part => DoseText.Amount(new Amount(part * dialStep), product.Unit)))
                : "equal parts";
            findings.Add(new Finding(FindingCode.DoseSplit, $"{DoseText.Amount(dose, product.Unit)} takes {injections} injections of a pen that gives at most {DoseText.Amount(product.DialMax.Value, product.Unit)}: {dealt}."));
        }

        return new Draw
        {
            Injections = injections,
            Marks = marks,
            Needed = [.. marks.Select(mark => mark + product.Prime)],
            Delivered = Exact.HalfEven(dose.Billionths, Amount.PerUnit, 6),
            ErrorPercent = 0,
            Findings = findings,
        };
    }

    private static Draw OfVial(Product product, Device device, Volume expelled, Amount dose, int offMarksPercent)
    {
        var strength = product.Strength!.Value;
        var graduation = device.Graduation.Nanolitres;

        // exact = dose / strength, in nanolitres the fraction exactTop / exactBottom.
        var exactTop = (Int128)dose.Billionths * strength.Per.Nanolitres;
        Int128 exactBottom = strength.Amount.Billionths;
        var injections = (int)Exact.CeilingQuotient(exactTop, exactBottom * device.Capacity.Nanolitres);
        var graduations = (long)Exact.NearestQuotientTieDown(exactTop, exactBottom * graduation);
        IReadOnlyList<Volume> marks = [.. Deal(graduations, injections).Select(part => new Volume(part * graduation))];
        var total = new Volume(graduations * graduation);

        var deliveredTop = (Int128)total.Nanolitres * strength.Amount.Billionths;
        var ordered = new Volume((long)Exact.NearestQuotientTieDown(exactTop, exactBottom));
        var mismatch = IsMismatch(product, device);
        return new Draw
        {
            Injections = injections,
            Marks = mismatch ? [] : marks,
            MarksUnits = mismatch || device.UnitsPerMl is not decimal perMl ? null : [.. marks.Select(mark => mark.Ml * perMl)],
            Needed = [.. marks.Select(mark => mark + device.DeadSpace + expelled)],
            Delivered = mismatch ? 0 : Exact.HalfEven(deliveredTop, (Int128)Amount.PerUnit * strength.Per.Nanolitres, 6),
            ErrorPercent = mismatch ? 0 : ErrorPercent(deliveredTop, strength.Per.Nanolitres, dose),
            Findings = mismatch ? [] : ListVialFindings(product, device, dose, ordered, total, marks, exactTop, exactBottom, offMarksPercent),
            Stop = mismatch
                ? new Finding(FindingCode.StrengthBarrelMismatch, $"{product.Drug} holds {DoseText.Strength(strength, product.Unit)}, the barrel {device.Name} is marked for {Exact.Plain(device.UnitsPerMl!.Value)} units per mL: its units are not this medicine's units. A barrel marked in mL serves instead.")
                : graduations == 0
                    ? new Finding(FindingCode.DoseBelowFirstMark, $"{DoseText.Amount(dose, product.Unit)} is {DoseText.Volume(ordered)}, nearer to nothing than to the first mark of {DoseText.Volume(device.Graduation)} on {device.Name}.")
                    : null,
        };
    }

    private static List<Finding> ListVialFindings(Product product, Device device, Amount dose, Volume ordered, Volume total, IReadOnlyList<Volume> marks, Int128 exactTop, Int128 exactBottom, int offMarksPercent)
    {
        var findings = new List<Finding>();
        var difference = (Int128)total.Nanolitres * exactBottom - exactTop;
        if (total > Volume.Zero && difference != 0)
        {
            var size = difference < 0 ? -difference : difference;
            var isOff = size * 100 > exactTop * offMarksPercent;
            var percent = Exact.HalfEven(difference * 100, exactTop, 2);
            findings.Add(new Finding(
                isOff ? FindingCode.DoseOffMarks : FindingCode.DoseRounded,
                $"{DoseText.Amount(dose, product.Unit)}: ordered {DoseText.Volume(ordered)}, nearest mark {DoseText.Volume(total)}, {Exact.Plain(percent)} %."));
        }

        if (marks.Count > 1)
            findings.Add(new Finding(FindingCode.DoseSplit, $"{DoseText.Amount(dose, product.Unit)} takes {marks.Count} injections with {device.Name}: {string.Join(", then ", marks.Select(DoseText.Volume))}."));
        return findings;
    }

    private static bool IsMismatch(Product product, Device device) =>
        product.Unit == DoseUnit.Units && device.UnitsPerMl is decimal perMl
        && !product.Strength!.Value.Equals(new Strength(Amount.From(perMl), new Volume(Volume.PerMl)));

    // Deals whole pieces as evenly as possible, larger parts first.
    private static IEnumerable<long> Deal(long pieces, int parts)
    {
        var (each, more) = long.DivRem(pieces, parts);
        return Enumerable.Range(0, parts).Select(part => part < more ? each + 1 : each);
    }

    // 100 (delivered - dose) / dose, where delivered = top / bottom billionths.
    private static decimal ErrorPercent(Int128 deliveredTop, Int128 deliveredBottom, Amount dose)
    {
        var exact = dose.Billionths * deliveredBottom;
        return Exact.HalfEven((deliveredTop - exact) * 100, exact, 2);
    }
}
