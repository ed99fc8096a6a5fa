namespace RefillPlanner.Service.Demo;

/// <summary>The products of the demo, by id: generic names, invented label figures.</summary>
internal static class DemoProducts
{
    /// <summary>Semaglutide vial, 2.5 mg/mL, 2 mL.</summary>
    public const string Semaglutide = "P-SEMA";

    /// <summary>Tirzepatide vial, 10 mg/mL, 2 mL.</summary>
    public const string Tirzepatide = "P-TIRZ";

    /// <summary>The same in 1 mL: another size of one family.</summary>
    public const string TirzepatideSmall = "P-TIRZ-1ML";

    /// <summary>Tirzepatide vial, 20 mg/mL: another strength, another stock.</summary>
    public const string TirzepatideStrong = "P-TIRZ-20";

    /// <summary>Insulin glargine vial, 100 units/mL, 10 mL.</summary>
    public const string Glargine = "P-GLAR";

    /// <summary>Insulin glargine pen, 100 units/mL, 3 mL.</summary>
    public const string GlarginePen = "P-GLAR-PEN";

    /// <summary>Insulin glargine pen, 300 units/mL, 1.5 mL, with a first priming.</summary>
    public const string GlargineStrongPen = "P-GLAR-PEN-300";

    /// <summary>Insulin aspart pen, 100 units/mL, 3 mL.</summary>
    public const string AspartPen = "P-ASP-PEN";

    /// <summary>Insulin NPH vial, 100 units/mL, 10 mL, whose opening day is day 0.</summary>
    public const string Nph = "P-NPH";

    /// <summary>Regular insulin vial, 500 units/mL, 20 mL.</summary>
    public const string RegularStrong = "P-REG-500";

    /// <summary>Testosterone cypionate vial, 200 mg/mL, 2 mL.</summary>
    public const string Testosterone = "P-TEST";

    /// <summary>Methotrexate single-dose vial, 25 mg/mL, 1 mL; hazardous.</summary>
    public const string Methotrexate = "P-MTX";

    /// <summary>Enoxaparin prefilled syringe, 40 mg.</summary>
    public const string Enoxaparin = "P-ENOX";

    /// <summary>Cyanocobalamin vial, 1,000 mcg/mL, 10 mL, without an in-use limit.</summary>
    public const string Cyanocobalamin = "P-CYAN";

    private const string Peptide = "Nausea, vomiting or belly pain? Eating and drinking enough? Weight today?";

    /// <summary>Adds them all.</summary>
    public static void AddTo(DemoTables tables)
    {
        var products = tables.Products;
        products.Add([("product_id", Semaglutide), ("drug", "semaglutide"), ("amount_per_ml", 2.5m), ("volume_ml", 2), ("max_dose", 2.4m), .. WeeklyPeptide]);
        products.Add([("product_id", Tirzepatide), ("drug", "tirzepatide"), ("amount_per_ml", 10), ("volume_ml", 2), ("max_dose", 15), .. WeeklyPeptide]);
        products.Add([("product_id", TirzepatideSmall), ("drug", "tirzepatide"), ("amount_per_ml", 10), ("volume_ml", 1), ("max_dose", 15), ("size_of", Tirzepatide), .. WeeklyPeptide]);
        products.Add([("product_id", TirzepatideStrong), ("drug", "tirzepatide"), ("amount_per_container", 40), ("volume_ml", 2), ("max_dose", 15), .. WeeklyPeptide]);
        products.Add([("product_id", Glargine), ("drug", "insulin glargine"), .. InsulinVial, ("in_use_days", 28)]);
        products.Add([("product_id", Nph), ("drug", "insulin NPH"), .. InsulinVial, ("in_use_days", 42), ("in_use_count", "opening-day-is-day-0")]);
        products.Add([("product_id", RegularStrong), ("drug", "insulin regular"), ("kind", "multi-dose-vial"), ("unit", "units"), ("amount_per_ml", 500), ("volume_ml", 20), ("in_use_days", 40), ("cold", true), .. Insulin]);
        products.Add([("product_id", GlarginePen), ("drug", "insulin glargine"), ("in_use_days", 28), ("dial_max", 80), .. InsulinPen]);
        products.Add([("product_id", AspartPen), ("drug", "insulin aspart"), ("in_use_days", 28), ("dial_max", 60), .. InsulinPen]);
        products.Add([("product_id", GlargineStrongPen), ("drug", "insulin glargine"), ("kind", "pen"), ("unit", "units"), ("amount_per_container", 450), ("volume_ml", 1.5m), ("in_use_days", 42), ("dial_step", 1), ("dial_max", 80), ("prime_ml", 0.01m), ("first_prime_ml", 0.01m), ("cold", true), .. Insulin]);
        products.Add(("product_id", Testosterone), ("drug", "testosterone cypionate"), ("kind", "multi-dose-vial"), ("unit", "mg"), ("amount_per_ml", 200), ("volume_ml", 2), ("in_use_days", 28), ("beyond_use_days", 180), ("max_dose", 200), ("label_en", "Warm in your hands. Inject under the skin."), ("label_es", "Entíbielo en las manos. Inyecte bajo la piel."), ("check_prompts", "Hematocrit? Blood pressure? Mood or sleep changed?"));
        products.Add(("product_id", Methotrexate), ("drug", "methotrexate"), ("kind", "single-dose-vial"), ("unit", "mg"), ("amount_per_ml", 25), ("volume_ml", 1), ("prepare_open_days", 1), ("beyond_use_days", 60), ("hazardous", true), ("max_dose", 25), ("min_every_days", 7), ("label_en", "Once a week, on the same day. Never daily."), ("label_es", "Una vez por semana, el mismo día. Nunca a diario."), ("check_prompts", "Mouth sores, fever or cough? Latest blood count and liver values?"));
        products.Add(("product_id", Enoxaparin), ("drug", "enoxaparin"), ("kind", "prefilled-syringe"), ("unit", "mg"), ("dose_amount", 40), ("label_en", "One syringe a day, under the skin."), ("label_es", "Una jeringa al día, bajo la piel."));
        products.Add(("product_id", Cyanocobalamin), ("drug", "cyanocobalamin"), ("kind", "multi-dose-vial"), ("unit", "mcg"), ("amount_per_ml", 1000), ("volume_ml", 10), ("label_en", "Keep out of light."), ("label_es", "Guarde protegido de la luz."));
    }

    private static (string Column, object? Value)[] WeeklyPeptide =>
    [
        ("kind", "multi-dose-vial"), ("unit", "mg"), ("in_use_days", 28), ("beyond_use_days", 90), ("prepare_open_days", 1), ("cold", true), ("min_every_days", 7),
        ("label_en", "Once a week. Keep in the refrigerator."), ("label_es", "Una vez por semana. Guarde en el refrigerador."), ("check_prompts", Peptide),
    ];

    private static (string Column, object? Value)[] Insulin =>
    [
        ("label_en", "Keep unopened stock in the refrigerator."), ("label_es", "Guarde lo que no ha abierto en el refrigerador."), ("check_prompts", "Any reading too low? Morning readings of the last week?"),
    ];

    private static (string Column, object? Value)[] InsulinVial =>
        [("kind", "multi-dose-vial"), ("unit", "units"), ("amount_per_ml", 100), ("volume_ml", 10), ("cold", true), .. Insulin];

    private static (string Column, object? Value)[] InsulinPen =>
        [("kind", "pen"), ("unit", "units"), ("amount_per_ml", 100), ("volume_ml", 3), ("dial_step", 1), ("prime_ml", 0.02m), ("cold", true), .. Insulin];
}
