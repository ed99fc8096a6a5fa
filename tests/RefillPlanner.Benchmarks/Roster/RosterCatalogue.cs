using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>Products, devices and treatments of every large roster.</summary>
internal static class RosterCatalogue
{
    private static readonly Device U100 = Barrel("D-U100", 1, 0.01m, 100, 0.002m, 1);
    private static readonly Device U50 = Barrel("D-U50", 0.5m, 0.01m, 100, 0.002m, 1);
    private static readonly Device Ml1 = Barrel("D-ML1", 1, 0.01m, null, 0.01m, 1);
    private static readonly Device Ml1Long = Barrel("D-ML1-LONG", 1, 0.01m, null, 0.084m, 1);
    private static readonly Device Ml3 = Barrel("D-ML3", 3, 0.1m, null, 0.07m, 2);

    private static readonly Product Semaglutide = Vial("P-SEMA", "semaglutide", DoseUnit.Mg, 2.5m, 2, 28) with { MinEveryDays = 7, BeyondUseDays = 90, PrepareOpenDays = 1, CheckPrompts = "Nausea? Weight?" };
    private static readonly Product SemaglutideLarge = Semaglutide with { Id = "P-SEMA-4ML", Volume = Volume.FromMl(4), SizeOf = Semaglutide.Id };
    private static readonly Product Tirzepatide = Vial("P-TIRZ", "tirzepatide", DoseUnit.Mg, 10, 2, 28) with { MinEveryDays = 7, BeyondUseDays = 90, PrepareOpenDays = 1 };
    private static readonly Product Glargine = Vial("P-GLAR", "insulin glargine", DoseUnit.Units, 100, 10, 28);
    private static readonly Product Nph = Vial("P-NPH", "insulin NPH", DoseUnit.Units, 100, 10, 42) with { InUseCount = InUseCount.OpeningDayIsDay0 };
    private static readonly Product Testosterone = Vial("P-TEST", "testosterone cypionate", DoseUnit.Mg, 200, 2, 28) with { Cold = false, MaxDose = Amount.From(200) };
    private static readonly Product Cyanocobalamin = Vial("P-CYAN", "cyanocobalamin", DoseUnit.Mcg, 1000, 10, null) with { Cold = false };
    private static readonly Product Methotrexate = Vial("P-MTX", "methotrexate", DoseUnit.Mg, 25, 1, null) with { Kind = ProductKind.SingleDoseVial, Hazardous = true, MinEveryDays = 7, MaxDose = Amount.From(25) };
    private static readonly Product SemaglutidePen = Pen("P-SEMA-PEN", "semaglutide", DoseUnit.Mg, 2, 1.5m, 56, 0.25m, 1) with { FirstPrime = Volume.FromMl(0.02m), MinEveryDays = 7 };
    private static readonly Product GlarginePen = Pen("P-GLAR-PEN", "insulin glargine", DoseUnit.Units, 300, 3, 28, 1, 80) with { Prime = Volume.FromMl(0.02m) };
    private static readonly Product AspartPen = Pen("P-ASP-PEN", "insulin aspart", DoseUnit.Units, 300, 3, 28, 1, 60) with { Prime = Volume.FromMl(0.02m), FirstPrime = Volume.FromMl(0.02m) };
    private static readonly Product Enoxaparin = new() { Id = "P-ENOX", Drug = "enoxaparin", Kind = ProductKind.PrefilledSyringe, Unit = DoseUnit.Mg, DoseAmount = Amount.From(40) };

    /// <summary>All products; a size after the product that it is of.</summary>
    public static readonly IReadOnlyList<Product> Products =
    [
        Semaglutide, SemaglutideLarge, Tirzepatide, Glargine, Nph, Testosterone, Cyanocobalamin, Methotrexate, SemaglutidePen, GlarginePen, AspartPen, Enoxaparin,
    ];

    /// <summary>All devices.</summary>
    public static readonly IReadOnlyList<Device> Devices = [U100, U50, Ml1, Ml1Long, Ml3];

    /// <summary>What courses choose from; most are vials with ladders, and those stand there more than once.</summary>
    public static readonly IReadOnlyList<Treatment> Treatments = List();

    private static List<Treatment> List()
    {
        Treatment semaglutide = new(Semaglutide, [[0.25m], [0.5m], [1], [1.7m], [2.4m]], 7, [U100, Ml1]);
        Treatment large = new(SemaglutideLarge, [[0.5m], [1], [1.7m], [2.4m]], 7, [U100, Ml1]);
        Treatment tirzepatide = new(Tirzepatide, [[2.5m], [5], [7.5m], [10]], 7, [Ml1, U100, Ml1Long]);
        Treatment glargine = new(Glargine, [[10], [14], [18], [24], [36]], 1, [U50, U100]);
        Treatment testosterone = new(Testosterone, [[50], [60], [80], [100]], 7, [Ml1, Ml1Long]);
        return
        [
            semaglutide, semaglutide, semaglutide, semaglutide, large, large, tirzepatide, tirzepatide, tirzepatide, glargine, testosterone, testosterone,
            new(Nph, [[12, 8], [20, 12], [20, 30]], 1, [U50, U100]),
            new(Cyanocobalamin, [[500], [1000]], 28, [Ml1, Ml3]),
            new(Methotrexate, [[7.5m], [10], [12.5m], [15], [20]], 7, [Ml1, Ml1Long]),
            new(SemaglutidePen, [[0.25m], [0.5m], [1]], 7, []),
            new(SemaglutidePen, [[0.25m], [0.5m], [1]], 7, []),
            new(GlarginePen, [[12], [16], [20], [26]], 1, []),
            new(AspartPen, [[4, 4, 4], [6, 6, 8], [8, 10, 10], [12, 12, 14]], 1, []),
            new(Enoxaparin, [[40], [40, 40]], 1, []),
        ];
    }

    private static Product Vial(string id, string drug, DoseUnit unit, decimal perMl, decimal ml, int? inUseDays) => new()
    {
        Id = id,
        Drug = drug,
        Kind = ProductKind.MultiDoseVial,
        Unit = unit,
        Strength = new Strength(Amount.From(perMl), Volume.FromMl(1)),
        Volume = Volume.FromMl(ml),
        InUseDays = inUseDays,
        BeyondUseDays = 365,
        Cold = true,
    };

    private static Product Pen(string id, string drug, DoseUnit unit, decimal amount, decimal ml, int inUseDays, decimal dialStep, decimal dialMax) => Vial(id, drug, unit, 1, ml, inUseDays) with
    {
        Kind = ProductKind.Pen,
        Strength = new Strength(Amount.From(amount), Volume.FromMl(ml)),
        DialStep = Amount.From(dialStep),
        DialMax = Amount.From(dialMax),
    };

    private static Device Barrel(string id, decimal capacity, decimal graduation, decimal? unitsPerMl, decimal deadSpace, int sharps) => new()
    {
        Id = id,
        Name = unitsPerMl is decimal units ? $"{capacity} mL U-{units} syringe" : $"{capacity} mL syringe",
        Capacity = Volume.FromMl(capacity),
        Graduation = Volume.FromMl(graduation),
        MarkedIn = unitsPerMl is null ? BarrelMarking.Ml : BarrelMarking.Units,
        UnitsPerMl = unitsPerMl,
        DeadSpace = Volume.FromMl(deadSpace),
        SharpsPerInjection = sharps,
    };
}
