using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Messages;

/// <summary>A step with the product, the syringe and the draws that its doses mean for this patient.</summary>
/// <param name="Step">The step.</param>
/// <param name="Product">Its product.</param>
/// <param name="Device">The syringe; null for a pen or a prefilled syringe.</param>
/// <param name="Doses">The doses of a dosing day in order, and how each is drawn.</param>
internal sealed record StepReading(Step Step, Product Product, Device? Device, IReadOnlyList<(Amount Dose, Draw Draw)> Doses)
{
    /// <summary>The barrel; null for a pen or a prefilled syringe.</summary>
    public Barrel? Barrel => Device is null ? null : Dosing.Barrel.Of(Device);

    /// <summary>How many injections a dosing day has.</summary>
    public int Injections => Doses.Sum(dose => dose.Draw.Injections);

    /// <summary>What its numbers are read off.</summary>
    public string GaugeWords => Barrel is Barrel barrel ? $"the {DoseText.Barrel(barrel)}" : $"the pen with {Product.Drug}";

    /// <summary>The reading of a step of a course.</summary>
    public static StepReading Of(CourseSnapshot course, Step step, Policy policy)
    {
        var product = course.Products[step.ProductId];
        var device = product.Kind is ProductKind.Pen or ProductKind.PrefilledSyringe ? null : course.FindDevice(step);
        return new StepReading(step, product, device, [.. step.Doses.Select(dose => (dose, Draws.Of(product, device, step.Expelled ?? course.Course.Expelled, dose, policy.OffMarksPercent)))]);
    }

    /// <summary>The reading of the present step of a plan.</summary>
    public static StepReading OfPresent(CourseSnapshot course, CoursePlan plan, Policy policy) =>
        Of(course, course.ListLadder(plan.Supply.Ladder).First(step => step.Number == plan.Supply.Step), policy);

    /// <summary>What of it can be drawn.</summary>
    /// <param name="course">The course.</param>
    /// <param name="plan">Its plan.</param>
    /// <param name="language">Of the reason, where nothing is drawn.</param>
    public DosePicture Picture(CourseSnapshot course, CoursePlan plan, Language language = Language.English) =>
        DosePicture.Of(Product, Device, Doses, plan.Supply.Outcome != Outcome.NotComputed, DoseSignature.IsGiven(course, Step, plan), language);

    /// <summary>Each number that is read off, the volume that it means, and where it is read.</summary>
    public IEnumerable<(decimal Number, Volume Volume, string Words)> ListNumbers()
    {
        foreach (var (dose, draw) in Doses.Where(item => item.Draw.Stop is null && item.Draw.Marks.Count > 0))
        {
            var numbers = Barrel is Barrel barrel ? draw.Marks.Select(barrel.Printed) : DoseText.Dialled(draw, Product, dose).Select(amount => amount.Value);
            foreach (var (number, mark) in numbers.Zip(draw.Marks))
                yield return (number, mark, GaugeWords);
        }
    }
}
