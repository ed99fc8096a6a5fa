using System.Globalization;

namespace RefillPlanner.Core.Ledger;

/// <summary>
/// What a pharmacist signs for with an approval: dose, rhythm, product, strength and syringe of the step. It is kept with the approval; where it is
/// another one today, the approval counts no longer and the check is asked again (planning model, section 3).
/// </summary>
public static class SignedContent
{
    /// <summary>The content of a step as one line. Lines are compared with those kept earlier: the wording is a stable format.</summary>
    /// <example><c>0.5 mg every 7 days; P-7, multi-dose-vial, 5 mg in 1 mL; D-1, 1 mL, marked every 0.01 mL in units, 100 in 1 mL; 0 mL expelled</c>.</example>
    public static string Of(CourseSnapshot course, Step step)
    {
        var product = course.Products[step.ProductId];
        var unit = Kebab.Of(product.Unit);
        var dose = $"{string.Join(" + ", step.Doses)} {unit} every {step.EveryDays.ToString(CultureInfo.InvariantCulture)} days";
        return product.Kind switch
        {
            ProductKind.PrefilledSyringe => $"{dose}; {product.Id}, prefilled-syringe of {product.DoseAmount} {unit}",
            ProductKind.Pen => $"{dose}; {product.Id}, pen, {Strength(product, unit)}, dialled by {product.DialStep} up to {product.DialMax}",
            _ => $"{dose}; {product.Id}, {Kebab.Of(product.Kind)}, {Strength(product, unit)}; {Syringe(course.FindDevice(step))}; {step.Expelled ?? course.Course.Expelled} mL expelled",
        };
    }

    private static string Strength(Product product, string unit) => $"{product.Strength!.Value.Amount} {unit} in {product.Strength.Value.Per} mL";

    private static string Syringe(Device? device) => device is null
        ? "no syringe"
        : $"{device.Id}, {device.Capacity} mL, marked every {device.Graduation} mL in {Kebab.Of(device.MarkedIn)}{(device.UnitsPerMl is decimal perMl ? $", {Exact.Plain(perMl)} in 1 mL" : string.Empty)}";
}
