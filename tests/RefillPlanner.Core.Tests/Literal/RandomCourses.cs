using System;
using System.Collections.Generic;
using System.Collections.Immutable;
using System.Linq;
using CsCheck;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>Random courses that an import would accept, with scarce stock and dense facts, so that limits, holds and counts meet.</summary>
public static class RandomCourses
{
    /// <summary>A course, a policy, an as-of date.</summary>
    public static readonly Gen<(CourseSnapshot Course, Policy Policy, LocalDate AsOf)> Any =
        new DiceGen<(CourseSnapshot Course, Policy Policy, LocalDate AsOf)>(
            dice => Make(dice, counts: true), made => (20 * made.Course.Facts.Count) + (5 * made.Course.Steps.Count) + made.Course.Products.Count);

    /// <summary>The same without any count: the supply is conserved.</summary>
    public static readonly Gen<(CourseSnapshot Course, Policy Policy, LocalDate AsOf)> Uncounted =
        new DiceGen<(CourseSnapshot Course, Policy Policy, LocalDate AsOf)>(
            dice => Make(dice, counts: false), made => (20 * made.Course.Facts.Count) + (5 * made.Course.Steps.Count) + made.Course.Products.Count);

    private static (CourseSnapshot Course, Policy Policy, LocalDate AsOf) Make(Dice dice, bool counts)
    {
        var asOf = new LocalDate(2026, 3, 2).PlusDays(dice.Below(60));
        var startedOn = asOf.PlusDays(dice.Below(10) switch
        {
            0 => dice.Between(0, 20),
            < 4 => dice.Between(-180, -60),
            _ => dice.Between(-60, 0),
        });
        var products = new Dictionary<string, Product>(StringComparer.Ordinal);
        var families = new List<List<Product>>();
        for (var i = dice.Pick(1, 1, 1, 2, 2, 3); i > 0; i--)
            families.Add(RandomProducts.Family(dice, i));
        foreach (var product in families.SelectMany(family => family))
            products.Add(product.Id, product);

        var steps = RandomSteps(dice, families, out var deviceId);
        var course = new Course { Id = "C", PatientId = "A", StartedOn = startedOn, DeviceId = deviceId, Expelled = Volume.FromMl(dice.Pick(0, 0, 0.01m, 0.02m)) };
        var named = steps.Select(step => products[step.ProductId].Family).ToHashSet(StringComparer.Ordinal);
        var snapshot = new CourseSnapshot
        {
            Course = course,
            Patient = new Patient { Id = "A", Name = "A", SiteId = "S" },
            Site = new Site { Id = "S", Name = "S", TimeZone = "America/New_York" },
            Steps = steps,
            Products = products.Values.Where(product => named.Contains(product.Family)).ToImmutableDictionary(product => product.Id),
            Devices = RandomProducts.Devices.ToImmutableDictionary(device => device.Id),
        };
        var policy = Policy.Default with
        {
            HorizonDays = dice.Pick(30, 60, 100, 400),
            SplitDraws = dice.Chance(20),
            OffMarksPercent = dice.Pick(5, 5, 0, 10),
            DoseJumpHundredths = dice.Pick(200, 200, 150),
        };
        return (snapshot with { Facts = new RandomFacts(dice, snapshot, asOf).List(counts) }, policy, asOf);
    }

    private static List<Step> RandomSteps(Dice dice, List<List<Product>> families, out string deviceId)
    {
        deviceId = dice.PickOf(RandomProducts.Devices).Id;
        var steps = new List<Step>();
        for (var ladder = dice.Pick(1, 1, 2, 3); ladder > 0; ladder--)
        {
            var family = dice.PickOf(families);
            var every = dice.Pick(1, 1, 2, 3, 7, 7);
            var device = DeviceFor(dice, family[0]);
            for (int number = 1, last = dice.Between(1, 4); number <= last; number++)
            {
                if (dice.Chance(20))
                    (family, device) = Switch(dice, families);
                var product = dice.PickOf(family);
                var doses = new Amount[dice.Pick(1, 1, 1, 2, 3)];
                for (var i = 0; i < doses.Length; i++)
                    doses[i] = i > 0 && dice.Chance(50) ? doses[0] : RandomProducts.Dose(dice, product, device);
                steps.Add(new Step
                {
                    CourseId = "C",
                    Ladder = ladder,
                    Number = number,
                    ProductId = product.Id,
                    Doses = doses,
                    EveryDays = dice.Chance(75) ? every : dice.Pick(1, 2, 5, 7, 14),
                    DoseDays = number == last && dice.Chance(60) ? null : dice.Pick(1, 2, 3, 4, 4, 7, 12),
                    NeedsCheck = dice.Chance(85),
                    DeviceId = product.Kind is ProductKind.Pen or ProductKind.PrefilledSyringe && dice.Chance(50) ? null : device.Id,
                    Expelled = dice.Chance(20) ? Volume.FromMl(dice.Pick(0, 0.03m)) : null,
                });
            }
        }

        return steps;
    }

    private static (List<Product> Family, Device Device) Switch(Dice dice, List<List<Product>> families)
    {
        var family = dice.PickOf(families);
        return (family, DeviceFor(dice, family[0]));
    }

    /// <summary>Mostly a barrel that reads the product's units.</summary>
    private static Device DeviceFor(Dice dice, Product product)
    {
        if (product.Unit != DoseUnit.Units || product.Strength is not Strength strength || dice.Chance(15))
            return dice.PickOf(RandomProducts.Devices);
        return dice.PickOf(Array.FindAll(RandomProducts.Devices, device => device.UnitsPerMl is not decimal units || strength.Equals(new Strength(Amount.From(units), Volume.FromMl(1)))));
    }
}
