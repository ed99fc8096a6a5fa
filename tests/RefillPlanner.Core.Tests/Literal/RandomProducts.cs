using System;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>Random families of products, and syringes. Small round numbers, so that exact fits and ties occur.</summary>
internal static class RandomProducts
{
    public static readonly Device[] Devices =
    [
        Barrel("U100-1", 1, 0.01m, 100, 0),
        Barrel("U100-05", 0.5m, 0.01m, 100, 0.002m),
        Barrel("U100-03", 0.3m, 0.005m, 100, 0),
        Barrel("U100-2", 1, 0.02m, 100, 0),
        Barrel("U40", 1, 0.025m, 40, 0),
        Barrel("ML1", 1, 0.01m, null, 0.05m),
        Barrel("ML05", 0.5m, 0.05m, null, 0),
        Barrel("ML3", 3, 0.1m, null, 0.07m),
    ];

    private static readonly (decimal Amount, decimal Per)[] UnitStrengths = [(100, 1), (100, 1), (100, 1), (40, 1), (200, 1), (1000, 10)];

    private static readonly (decimal Amount, decimal Per)[] MassStrengths = [(2.5m, 1), (2, 1.5m), (10, 1), (4, 3), (50, 1), (5, 1), (250, 0.5m), (1, 0.7m)];

    /// <summary>A family: the product and up to two further sizes of it.</summary>
    public static List<Product> Family(Dice dice, int number)
    {
        var kind = dice.Pick(
            ProductKind.MultiDoseVial, ProductKind.MultiDoseVial, ProductKind.MultiDoseVial, ProductKind.MultiDoseVial,
            ProductKind.Pen, ProductKind.Pen, ProductKind.Pen, ProductKind.SingleDoseVial, ProductKind.PrefilledSyringe);
        var unit = dice.Pick(DoseUnit.Units, DoseUnit.Units, DoseUnit.Mg, DoseUnit.Mg, DoseUnit.Mcg);
        var (amount, per) = unit == DoseUnit.Units ? dice.Pick(UnitStrengths) : dice.Pick(MassStrengths);
        var isPen = kind == ProductKind.Pen;
        var isSyringe = kind == ProductKind.PrefilledSyringe;
        var dial = unit == DoseUnit.Units ? dice.Pick(1m, 1m, 2m, 0.5m) : dice.Pick(0.25m, 0.5m, 1m);
        var first = new Product
        {
            Id = $"P{number}",
            Drug = $"drug {number}",
            Kind = kind,
            Unit = unit,
            Strength = isSyringe ? null : new Strength(Amount.From(amount), Volume.FromMl(per)),
            Volume = isSyringe ? null : VolumeOf(dice, kind),
            DoseAmount = isSyringe ? Amount.From(dice.Pick(1m, 2.5m, 5m)) : null,
            InUseDays = isSyringe || dice.Chance(30) ? null : dice.Pick(1, 3, 5, 7, 10, 14, 28, 28),
            InUseCount = dice.Pick(InUseCount.OpeningDayIsDay1, InUseCount.OpeningDayIsDay0),
            DialStep = isPen ? Amount.From(dial) : null,
            DialMax = isPen ? Amount.From(dial * dice.Pick(4, 10, 30, 60, 80)) : null,
            Prime = isPen ? Volume.FromMl(dice.Pick(0, 0, 0.02m, 0.01m)) : Volume.Zero,
            FirstPrime = isPen ? Volume.FromMl(dice.Pick(0, 0, 0.05m, 0.1m)) : Volume.Zero,
            MaxDose = dice.Chance(8) ? Amount.From(dice.Pick(0.5m, 5m, 20m)) : null,
            MinEveryDays = dice.Chance(7) ? dice.Pick(2, 6, 7) : null,
        };
        var family = new List<Product> { first };
        if (!isSyringe && dice.Chance(30))
        {
            for (var i = dice.Between(1, 2); i > 0; i--)
                family.Add(first with { Id = $"P{number}{(char)('a' + i)}", SizeOf = first.Id, Volume = VolumeOf(dice, kind), InUseDays = dice.Chance(70) ? first.InUseDays : dice.Pick(4, 9, 20) });
        }

        return family;
    }

    /// <summary>A dose that the product mostly can give: whole graduations or dial steps, at times a little off.</summary>
    public static Amount Dose(Dice dice, Product product, Device device)
    {
        if (product.DoseAmount is Amount fixedDose)
            return dice.Chance(95) ? fixedDose : Amount.From(fixedDose.Value / 2);
        if (product.DialStep is Amount dial)
        {
            var most = (int)(product.DialMax!.Value.Value / dial.Value);
            var steps = dice.Chance(85) ? dice.Between(1, most) : dice.Between(1, 2 * most + 1);
            return Amount.From((dice.Chance(60) ? Math.Min(steps, 8) : steps) * dial.Value + (dice.Chance(6) ? dial.Value / 2 : 0));
        }

        var strength = product.Strength!.Value;
        var graduations = (int)(device.Capacity.Ml / device.Graduation.Ml);
        decimal marks = dice.Below(100) switch
        {
            < 60 => dice.Between(1, Math.Min(graduations, 15)),
            < 85 => 5 * dice.Between(1, Math.Max(1, graduations / 5)),
            < 91 => dice.Between(1, graduations) + 0.5m,
            < 94 => dice.Between(graduations, 2 * graduations + 2),
            < 96 => 0.4m,
            _ => dice.Between(1, 10) + 0.25m,
        };
        var dose = decimal.Round(marks * device.Graduation.Ml * strength.Amount.Value / strength.Per.Ml, dice.Pick(1, 2, 3, 6, 6, 6));
        return Amount.From(dose == 0 ? strength.Amount.Value / 10 : dose);
    }

    private static Volume VolumeOf(Dice dice, ProductKind kind) => Volume.FromMl(kind switch
    {
        ProductKind.SingleDoseVial => dice.Pick(0.3m, 0.5m, 0.5m, 1, 2),
        ProductKind.Pen => dice.Pick(0.5m, 1, 1.5m, 3, 3),
        _ => dice.Pick(0.5m, 1, 2, 3, 4, 5, 10),
    });

    private static Device Barrel(string id, decimal capacity, decimal graduation, decimal? unitsPerMl, decimal deadSpace) => new()
    {
        Id = id,
        Name = id,
        Capacity = Volume.FromMl(capacity),
        Graduation = Volume.FromMl(graduation),
        MarkedIn = unitsPerMl is null ? BarrelMarking.Ml : BarrelMarking.Units,
        UnitsPerMl = unitsPerMl,
        DeadSpace = Volume.FromMl(deadSpace),
    };
}
