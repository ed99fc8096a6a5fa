using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Pictures;

/// <summary>What can be drawn of a dosing day: one reading an injection, or none and a sentence that says why.</summary>
/// <param name="Readings">What is drawn, in the order of the injections; empty: there is no picture.</param>
/// <param name="WhyNot">Why there is no picture, in one sentence; empty: there is one.</param>
public sealed record DosePicture(IReadOnlyList<Reading> Readings, string WhyNot)
{
    /// <summary>What can be drawn of a step's dosing day.</summary>
    /// <param name="product">The product.</param>
    /// <param name="device">The syringe; null for a pen or a prefilled syringe.</param>
    /// <param name="doses">The doses in order, and how each is drawn.</param>
    /// <param name="isComputed">Whether the course is computed: of one that waits for a person nothing is drawn.</param>
    /// <param name="isSigned">Whether a pharmacist has signed the step: before that a rounded dose is not drawn.</param>
    /// <param name="language">Of the sentence.</param>
    public static DosePicture Of(Product product, Device? device, IReadOnlyList<(Amount Dose, Draw Draw)> doses, bool isComputed, bool isSigned, Language language = Language.English)
    {
        var isSpanish = language == Language.Spanish;
        DosePicture None(string english, string spanish) => new([], isSpanish ? spanish : english);
        bool Has(string code) => doses.Any(dose => dose.Draw.Findings.Any(finding => finding.Code == code));
        if (!isComputed || doses.Any(dose => dose.Draw.Stop is not null))
            return None("No picture: nothing is computed for this dose. A person must look first.", "Sin dibujo: esta dosis no está calculada. Pregunte en la farmacia.");
        if (product.Kind == ProductKind.PrefilledSyringe)
            return None("No picture: the syringe comes filled with the whole dose.", "Sin dibujo: la jeringa viene llena con toda la dosis.");
        if (Has(FindingCode.DoseOffMarks))
            return None("No picture: the dose falls between the marks of this syringe.", "Sin dibujo: la dosis cae entre las líneas de esta jeringa. Pregunte en la farmacia.");
        if (Has(FindingCode.DoseOffDial))
            return None("No picture: the dose is no number of the pen's dial.", "Sin dibujo: la pluma no tiene este número. Pregunte en la farmacia.");
        if (Has(FindingCode.DoseRounded) && !isSigned)
            return None("No picture: the dose is rounded to a mark, and no pharmacist has signed that.", "Sin dibujo: la farmacia debe aprobar esta dosis primero. Pregunte en la farmacia.");
        if (product.Kind == ProductKind.Pen)
            return new DosePicture([.. doses.SelectMany(dose => DoseText.Dialled(dose.Draw, product, dose.Dose)).Select(dialled => new DialReading(dialled, product.Unit))], string.Empty);
        var barrel = Barrel.Of(device!);
        return BarrelScale.Fits(barrel)
            ? new DosePicture([.. doses.SelectMany(dose => dose.Draw.Marks).Select(mark => new BarrelReading(barrel, mark))], string.Empty)
            : None("No picture: the lines of this syringe are too many to be drawn.", "Sin dibujo: esta jeringa tiene demasiadas líneas.");
    }
}
