using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>Section 2 of the supply model, word for word: one dose of one step.</summary>
internal static class LiteralDraw
{
    public static Draw Of(CourseSnapshot course, Policy policy, Step step, Amount dose)
    {
        var product = course.Products[step.ProductId];
        return product.Kind switch
        {
            ProductKind.PrefilledSyringe => OfSyringe(product, dose),
            ProductKind.Pen => OfPen(product, dose),
            _ => OfVial(course, policy, step, product, dose),
        };
    }

    private static Draw OfSyringe(Product product, Amount dose)
    {
        var given = product.DoseAmount!.Value;
        var stop = given == dose ? null : new Finding(FindingCode.DoseNotInSyringe, $"The syringe holds {given}, the dose is {dose}.");
        return Make([], null, [], Fraction.Of(given.Value), Fraction.Of(dose.Value), [], stop, 1);
    }

    private static Draw OfPen(Product pen, Amount dose)
    {
        var strength = Fraction.Of(pen.Strength!.Value.Amount.Value) / Fraction.Of(pen.Strength.Value.Per.Ml);
        var amount = Fraction.Of(dose.Value);
        var dialStep = Fraction.Of(pen.DialStep!.Value.Value);
        var injections = (amount / Fraction.Of(pen.DialMax!.Value.Value)).Ceiling;
        var findings = new List<Finding>();
        var parts = new List<Fraction>();
        var dialSteps = amount / dialStep;
        if (dialSteps.IsWhole)
        {
            foreach (var count in Deal(dialSteps.Floor, injections))
                parts.Add(new Fraction(count, 1) * dialStep);
        }
        else
        {
            findings.Add(new Finding(FindingCode.DoseOffDial, $"{dose} is no whole number of dial steps."));
            for (var i = 0; i < injections; i++)
                parts.Add(amount / new Fraction(injections, 1));
        }

        // Rounded down to a whole nanolitre.
        var marks = parts.ConvertAll(part => (part / strength * new Fraction(1_000_000, 1)).Floor / 1_000_000m);
        if (injections > 1)
            findings.Add(new Finding(FindingCode.DoseSplit, $"{injections} injections."));
        return Make(marks, null, marks.ConvertAll(mark => mark + pen.Prime.Ml), amount, amount, findings, null, injections);
    }

    private static Draw OfVial(CourseSnapshot course, Policy policy, Step step, Product vial, Amount dose)
    {
        var device = course.FindDevice(step)!;
        var strength = Fraction.Of(vial.Strength!.Value.Amount.Value) / Fraction.Of(vial.Strength.Value.Per.Ml);
        var amount = Fraction.Of(dose.Value);
        var exact = amount / strength;
        var injections = (exact / Fraction.Of(device.Capacity.Ml)).Ceiling;
        if (vial.Unit == DoseUnit.Units && device.MarkedIn == BarrelMarking.Units && !(strength - Fraction.Of(device.UnitsPerMl!.Value)).IsZero)
        {
            var mismatch = new Finding(FindingCode.StrengthBarrelMismatch, "The barrel's units are not the product's.");
            return new Draw { Injections = injections, Marks = [], Needed = [], Delivered = 0, ErrorPercent = 0, Stop = mismatch };
        }

        var graduations = (exact / Fraction.Of(device.Graduation.Ml)).NearestTieDown;
        var marks = Deal(graduations, injections).ConvertAll(count => count * device.Graduation.Ml);
        var beside = device.DeadSpace.Ml + (step.Expelled ?? course.Course.Expelled).Ml;
        var delivered = Fraction.Of(marks.Sum()) * strength;
        var error = (delivered - amount) / amount;
        var findings = new List<Finding>();
        Finding? stop = null;
        if (graduations == 0)
            stop = new Finding(FindingCode.DoseBelowFirstMark, $"{dose} lies below the first mark.");
        else if (error.Size.IsAbove(new Fraction(policy.OffMarksPercent, 100)))
            findings.Add(new Finding(FindingCode.DoseOffMarks, $"Ordered {dose}, nearest {marks.Sum()} mL."));
        else if (!error.IsZero)
            findings.Add(new Finding(FindingCode.DoseRounded, $"Ordered {dose}, nearest {marks.Sum()} mL."));
        if (injections > 1)
            findings.Add(new Finding(FindingCode.DoseSplit, $"{injections} injections."));
        var units = device.MarkedIn == BarrelMarking.Units ? marks.ConvertAll(mark => mark * device.UnitsPerMl!.Value) : null;
        return Make(marks, units, marks.ConvertAll(mark => mark + beside), delivered, amount, findings, stop, injections);
    }

    private static Draw Make(
        List<decimal> marks, List<decimal>? units, List<decimal> needed, Fraction delivered, Fraction dose, List<Finding> findings, Finding? stop, int injections) => new()
        {
            Injections = injections,
            Marks = marks.ConvertAll(Volume.FromMl),
            MarksUnits = units,
            Needed = needed.ConvertAll(Volume.FromMl),
            Delivered = delivered.Rounded(6),
            ErrorPercent = (new Fraction(100, 1) * (delivered - dose) / dose).Rounded(2),
            Findings = findings,
            Stop = stop,
        };

    /// <summary>Whole things dealt out as evenly as possible, larger first: 81 over 2 is 41 and 40.</summary>
    private static List<int> Deal(int things, int hands)
    {
        var dealt = Enumerable.Repeat(0, hands).ToList();
        for (var i = 0; i < things; i++)
            dealt[i % hands]++;
        return dealt;
    }
}
