using System.Collections.Generic;
using System.Linq;
using NodaTime;
using NodaTime.Text;

namespace RefillPlanner.Roster;

/// <summary>A product, as far as random courses must know it.</summary>
/// <param name="Id">Its id.</param>
/// <param name="Kind">Its kind.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Amount">Amount of drug in one container, in its unit.</param>
/// <param name="VolumeMl">Volume of one container; null for a prefilled syringe.</param>
/// <param name="BeyondUseDays">Days from preparing to the beyond-use date.</param>
internal sealed record CatalogueProduct(string Id, string Kind, string Unit, decimal Amount, decimal? VolumeMl, int BeyondUseDays)
{
    public bool IsPrefilled => Kind == "prefilled-syringe";
}

/// <summary>A treatment: what may be prescribed of a product.</summary>
/// <param name="Products">The product, and other sizes of it that fills may use.</param>
/// <param name="Doses">Doses of the steps, rising.</param>
/// <param name="EveryDays">Days from one dosing day to the next.</param>
/// <param name="Devices">Syringes that suit; empty: none is needed.</param>
/// <param name="Schedule">Of a controlled substance.</param>
internal sealed record Treatment(CatalogueProduct[] Products, string[] Doses, int EveryDays, string[] Devices, string? Schedule = null);

/// <summary>Sites, products and devices: the same in every roster, so that parts fit together.</summary>
internal static class Catalogue
{
    public static readonly CatalogueProduct Semaglutide = new("P-SEMA", "multi-dose-vial", "mg", 5, 2, 90);
    public static readonly CatalogueProduct SemaglutideLarge = new("P-SEMA-4ML", "multi-dose-vial", "mg", 10, 4, 90);
    public static readonly CatalogueProduct GlarginePen = new("P-GLAR-PEN", "pen", "units", 300, 3, 365);
    public static readonly CatalogueProduct Enoxaparin = new("P-ENOX", "prefilled-syringe", "mg", 40, null, 365);

    private static readonly CatalogueProduct Tirzepatide = new("P-TIRZ", "multi-dose-vial", "mg", 20, 2, 90);
    private static readonly CatalogueProduct SemaglutidePen = new("P-SEMA-PEN", "pen", "mg", 2, 1.5m, 365);
    private static readonly CatalogueProduct AspartPen = new("P-ASP-PEN", "pen", "units", 300, 3, 365);
    private static readonly CatalogueProduct Glargine = new("P-GLAR", "multi-dose-vial", "units", 1000, 10, 365);
    private static readonly CatalogueProduct Nph = new("P-NPH", "multi-dose-vial", "units", 1000, 10, 365);
    private static readonly CatalogueProduct Testosterone = new("P-TEST", "multi-dose-vial", "mg", 400, 2, 180);
    private static readonly CatalogueProduct Methotrexate = new("P-MTX", "single-dose-vial", "mg", 25, 1, 60);
    private static readonly CatalogueProduct Cyanocobalamin = new("P-CYAN", "multi-dose-vial", "mcg", 10_000, 10, 365);

    /// <summary>What random courses choose from; the commoner ones stand there more than once.</summary>
    public static readonly IReadOnlyList<Treatment> Treatments =
    [
        new([Semaglutide, SemaglutideLarge], ["0.25", "0.5", "1", "1.7", "2.4"], 7, ["D-U100", "D-ML1"]),
        new([Semaglutide, SemaglutideLarge], ["0.25 mg", "500 mcg", "0.75", "1"], 7, ["D-U100", "D-U50"]),
        new([Tirzepatide], ["2.5", "5", "7.5", "10"], 7, ["D-ML1", "D-U100", "D-ML1-LONG"]),
        new([SemaglutidePen], ["0.25", "0.5", "1"], 7, []),
        new([GlarginePen], ["12", "16", "20", "26", "81"], 1, []),
        new([AspartPen], ["4;4;4", "6;6;8", "8;10;10", "12;12;14"], 1, []),
        new([Glargine], ["10", "14", "18", "24", "36"], 1, ["D-U50", "D-U100", "D-U30"]),
        new([Nph], ["12;8", "20;12", "20;30"], 1, ["D-U50", "D-U100"]),
        new([Testosterone], ["50", "60", "80", "100"], 7, ["D-ML1", "D-ML1-LONG", "D-ML3"], "III"),
        new([Methotrexate], ["7.5", "10", "12.5", "15", "20"], 7, ["D-ML1", "D-ML1-LONG"]),
        new([Enoxaparin], ["40", "40;40"], 1, []),
        new([Cyanocobalamin], ["500", "1000"], 28, ["D-ML1", "D-ML3"]),
    ];

    /// <summary>The sites' ids.</summary>
    public static readonly IReadOnlyList<string> Sites = ["S-EAST", "S-MOUNTAIN", "S-COAST"];

    /// <summary>Adds sites, products and devices.</summary>
    public static void AddTo(RosterFiles files, LocalDate today)
    {
        Site(files, today, "S-EAST", "Thimble Lane Pharmacy (invented)", "America/New_York", "sat;sun", 11, 12);
        Site(files, today, "S-MOUNTAIN", "Pebble Notch Pharmacy (invented)", "America/Denver", "sun", 18);
        Site(files, today, "S-COAST", "Driftwood Steps Pharmacy, Pier 0 (invented)", "America/Los_Angeles", "sat;sun", 4, 25, 60);

        Product(files, Semaglutide, "semaglutide", ("in_use_days", 28), ("cold", true), ("min_every_days", 7), ("max_dose", "2.4"), ("prepare_open_days", 1), ("check_prompts", "Nausea? Weight?"));
        Product(files, SemaglutideLarge, "semaglutide", ("in_use_days", 28), ("cold", true), ("min_every_days", 7), ("max_dose", "2.4"), ("prepare_open_days", 1), ("size_of", Semaglutide.Id), ("check_prompts", "Nausea? Weight?"));
        Product(files, Tirzepatide, "tirzepatide", ("in_use_days", 28), ("cold", true), ("min_every_days", 7), ("max_dose", 15), ("prepare_open_days", 1), ("check_prompts", "Nausea? Weight?"));
        Product(files, SemaglutidePen, "semaglutide", ("in_use_days", 56), ("cold", true), ("min_every_days", 7), ("dial_step", 0.25m), ("dial_max", 1), ("first_prime_ml", 0.02m));
        Product(files, GlarginePen, "insulin glargine", ("in_use_days", 28), ("cold", true), ("dial_step", 1), ("dial_max", 80), ("prime_ml", 0.02m));
        Product(files, AspartPen, "insulin aspart", ("in_use_days", 28), ("cold", true), ("dial_step", 1), ("dial_max", 60), ("prime_ml", 0.02m), ("first_prime_ml", 0.02m));
        Product(files, Glargine, "insulin glargine", ("in_use_days", 28), ("cold", true));
        Product(files, Nph, "insulin NPH", ("in_use_days", 42), ("in_use_count", "opening-day-is-day-0"), ("cold", true));
        Product(files, Testosterone, "testosterone cypionate", ("in_use_days", 28), ("max_dose", 200));
        Product(files, Methotrexate, "methotrexate", ("hazardous", true), ("min_every_days", 7), ("max_dose", 25), ("prepare_open_days", 1));
        Product(files, Enoxaparin, "enoxaparin", ("dose_amount", 40));
        Product(files, Cyanocobalamin, "cyanocobalamin");

        Device(files, "D-U100", 1, 0.01m, 100, 0.002m, 1);
        Device(files, "D-U50", 0.5m, 0.01m, 100, 0.002m, 1);
        Device(files, "D-U30", 0.3m, 0.005m, 100, 0.002m, 1);
        Device(files, "D-U40", 1, 0.025m, 40, 0.002m, 1);
        Device(files, "D-ML1", 1, 0.01m, null, 0.01m, 1);
        Device(files, "D-ML1-LONG", 1, 0.01m, null, 0.084m, 1);
        Device(files, "D-ML3", 3, 0.1m, null, 0.07m, 2);
    }

    private static void Site(RosterFiles files, LocalDate today, string id, string name, string zone, string weekdays, params int[] closed) => files.Sites.Add(
        ("site_id", id),
        ("name", name),
        ("time_zone", zone),
        ("closed_weekdays", weekdays),
        ("closed_on", string.Join(';', closed.Select(day => LocalDatePattern.Iso.Format(today.PlusDays(day))))),
        ("carrier_closed_on", today.PlusDays(closed[0])),
        ("calendar_known_through", today.PlusDays(365)),
        ("staff_email", $"staff.{id.ToLowerInvariant()}@example.org"),
        ("pharmacist_email", $"pharmacist.{id.ToLowerInvariant()}@example.org"),
        ("phone", "555-0100"));

    private static void Product(RosterFiles files, CatalogueProduct product, string drug, params (string Column, object? Value)[] cells) => files.Products.Add(
    [
        ("product_id", product.Id),
        ("drug", drug),
        ("kind", product.Kind),
        ("unit", product.Unit),
        ("amount_per_container", product.IsPrefilled ? null : product.Amount),
        ("volume_ml", product.VolumeMl),
        ("beyond_use_days", product.BeyondUseDays),
        .. cells,
    ]);

    private static void Device(RosterFiles files, string id, decimal capacity, decimal graduation, int? unitsPerMl, decimal deadSpace, int sharps) => files.Devices.Add(
        ("device_id", id),
        ("name", unitsPerMl is int units ? $"{capacity} mL U-{units} syringe" : $"{capacity} mL syringe"),
        ("capacity_ml", capacity),
        ("graduation_ml", graduation),
        ("marked_in", unitsPerMl is null ? "ml" : "units"),
        ("units_per_ml", unitsPerMl),
        ("dead_space_ml", deadSpace),
        ("sharps_per_injection", sharps));
}
