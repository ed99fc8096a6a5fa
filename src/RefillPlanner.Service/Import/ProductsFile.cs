using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Rows of <c>products.csv</c>: which columns a kind of container needs, may have, or does not use.</summary>
internal static class ProductsFile
{
    public static Product Parse(RowReading row)
    {
        var perMl = row.Optional<Amount>("amount_per_ml", FieldValue.Amount);
        var perContainer = row.Optional<Amount>("amount_per_container", FieldValue.Amount);
        var volume = row.Optional<Volume>("volume_ml", FieldValue.Volume);
        var product = new Product
        {
            Id = row.Required<string>("product_id", TextValue.Id),
            Drug = row.Required<string>("drug", TextValue.Line),
            Kind = row.Required<ProductKind>("kind", FieldValue.Word),
            Unit = row.Required<DoseUnit>("unit", FieldValue.Unit),
            Volume = volume,
            DoseAmount = row.Optional<Amount>("dose_amount", FieldValue.Amount),
            InUseDays = row.Optional("in_use_days", FieldValue.Whole(1, 1000)),
            InUseCount = row.Or<InUseCount>("in_use_count", FieldValue.Word, InUseCount.OpeningDayIsDay1),
            DialStep = row.Optional<Amount>("dial_step", FieldValue.Amount),
            DialMax = row.Optional<Amount>("dial_max", FieldValue.Amount),
            Prime = row.Or<Volume>("prime_ml", FieldValue.VolumeOrZero, Volume.Zero),
            FirstPrime = row.Or<Volume>("first_prime_ml", FieldValue.VolumeOrZero, Volume.Zero),
            BeyondUseDays = row.Optional("beyond_use_days", FieldValue.Whole(1, 10_000)),
            PrepareOpenDays = row.Or("prepare_open_days", FieldValue.Whole(0, 365), 0),
            Cold = row.Or<bool>("cold", FieldValue.YesNo, blank: false),
            Hazardous = row.Or<bool>("hazardous", FieldValue.YesNo, blank: false),
            MaxDose = row.Optional<Amount>("max_dose", FieldValue.Amount),
            MinEveryDays = row.Optional("min_every_days", FieldValue.Whole(1, 400)),
            SizeOf = row.OptionalText("size_of", TextValue.Id),
            LabelEn = row.OptionalText("label_en", TextValue.Line),
            LabelEs = row.OptionalText("label_es", TextValue.Line),
            CheckPrompts = row.OptionalText("check_prompts", TextValue.Paragraphs),
        };
        if (!row.IsGood)
            return product;
        if (product.Kind == ProductKind.PrefilledSyringe)
        {
            JudgePrefilled(row);
            return product;
        }

        JudgeStrength(row);
        if (product.Kind == ProductKind.Pen)
            JudgePen(row, product);
        else
            JudgeVial(row, product);
        return row.IsGood ? product with { Strength = StrengthOf(perMl, perContainer, volume) } : product;
    }

    /// <summary>Whether a product fits beside what it names and what names it.</summary>
    /// <param name="row">Its row.</param>
    /// <param name="product">The product.</param>
    /// <param name="references">What ids mean.</param>
    /// <param name="coming">Ids that this roster carries too: as sizes they are judged when their turn comes.</param>
    public static void JudgeFamily(RowReading row, Product product, References references, IReadOnlySet<string> coming)
    {
        if (product.SizeOf == product.Id)
        {
            row.Refuse("size_of", "a product is no size of itself");
            return;
        }

        if (product.SizeOf is not null && references.Product(row, "size_of") is Product whole)
        {
            if (whole.SizeOf is not null)
                row.Refuse("size_of", $"{whole.Id} is a size of {whole.SizeOf} itself: name that one");
            else if (!AreSizes(product, whole))
                row.Refuse("size_of", $"{whole.Id} has another kind, unit, strength or dose");
        }

        foreach (var size in references.Ledger.Products.Values.Where(size => size.SizeOf == product.Id && !coming.Contains(size.Id)))
        {
            if (product.SizeOf is not null)
                row.Refuse("size_of", $"{size.Id} is a size of {product.Id}, which then cannot be one itself");
            else if (!AreSizes(size, product))
                row.Refuse("kind", $"{size.Id} is a size of {product.Id} and has another kind, unit, strength or dose");
        }
    }

    /// <summary>Refuses a change that would give recorded doses another meaning.</summary>
    public static void JudgeChange(RowReading row, Product product, Product known)
    {
        if (product.Unit != known.Unit)
            row.Refuse("unit", $"{known.Id} is on record in {Kebab.Of(known.Unit)}, and doses are written in it: a product in another unit takes another id");
        if (IsVial(product.Kind) != IsVial(known.Kind) || (!IsVial(product.Kind) && product.Kind != known.Kind))
            row.Refuse("kind", $"{known.Id} is on record as a {Kebab.Of(known.Kind)}: a product of another kind takes another id");
    }

    private static bool IsVial(ProductKind kind) => kind is ProductKind.MultiDoseVial or ProductKind.SingleDoseVial;

    private static bool AreSizes(Product one, Product other) =>
        one.Kind == other.Kind && one.Unit == other.Unit && one.Strength == other.Strength && one.DoseAmount == other.DoseAmount;

    private static Strength StrengthOf(Amount? perMl, Amount? perContainer, Volume? volume) =>
        perMl is Amount amount ? new Strength(amount, new Volume(Volume.PerMl)) : new Strength(perContainer!.Value, volume!.Value);

    private static void JudgePrefilled(RowReading row)
    {
        const string unused = "a prefilled-syringe does not use this column";
        foreach (var column in (string[])["amount_per_ml", "amount_per_container", "volume_ml", "in_use_days", "dial_step", "dial_max"])
            row.MustBeBlank(column, unused);
        if (!row.Has("dose_amount"))
            row.Refuse("dose_amount", "is missing: a prefilled-syringe holds one fixed dose");
        JudgeNoPriming(row);
    }

    private static void JudgeStrength(RowReading row)
    {
        var given = (row.Has("amount_per_ml"), row.Has("amount_per_container"));
        if (given is (true, true))
            row.Refuse("amount_per_container", "give either amount_per_ml or amount_per_container, not both");
        if (given is (false, false))
            row.Refuse("amount_per_ml", "is missing: give amount_per_ml or amount_per_container");
        if (!row.Has("volume_ml"))
            row.Refuse("volume_ml", "is missing: a vial or pen needs its volume");
        row.MustBeBlank("dose_amount", "only a prefilled-syringe uses this column");
    }

    private static void JudgeVial(RowReading row, Product product)
    {
        row.MustBeBlank("dial_step", $"a {Kebab.Of(product.Kind)} does not use this column");
        row.MustBeBlank("dial_max", $"a {Kebab.Of(product.Kind)} does not use this column");
        JudgeNoPriming(row);
    }

    private static void JudgeNoPriming(RowReading row)
    {
        foreach (var column in (string[])["prime_ml", "first_prime_ml"])
        {
            if (row.Or<Volume>(column, FieldValue.VolumeOrZero, Volume.Zero) > Volume.Zero)
                row.Refuse(column, "only a pen is primed");
        }
    }

    private static void JudgePen(RowReading row, Product product)
    {
        if (product.DialStep is not Amount step)
            row.Refuse("dial_step", "is missing: a pen is dialled in steps");
        else if (product.DialMax is not Amount most)
            row.Refuse("dial_max", "is missing: a pen has a largest dose");
        else if (most.Billionths % step.Billionths != 0)
            row.Refuse("dial_max", "is no whole number of dial_step");
        if (product.Volume is Volume volume && product.Prime + product.FirstPrime >= volume)
            row.Refuse("prime_ml", "priming takes as much as the pen holds");
    }
}
