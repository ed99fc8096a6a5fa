using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using NodaTime.Calendars;

namespace RefillPlanner.Roster;

/// <summary>What happened in one random course, up to today. Every fact keeps the rules of the import.</summary>
internal sealed class RandomFacts(
    RosterFiles files,
    LocalDate today,
    int course,
    Treatment treatment,
    LocalDate start,
    IReadOnlyList<PlannedStep> steps,
    LocalDate? restart,
    Dice dice)
{
    private const int FillDays = 28;

    private readonly HashSet<(string Product, LocalDate On)> _counts = [];
    private readonly List<string> _voidable = [];
    private int _last;

    /// <summary>Writes them.</summary>
    public void Add()
    {
        if (restart is LocalDate on)
            Fact("ladder-started", on, ("step", 2));
        AddFills();
        AddChecks();
        Repeat(30, 2, AddCount);
        Repeat(15, 3, () => Fact("missed", DosingDay()));
        Repeat(7, 1, AddPause);
        Repeat(5, 1, AddDiscard);
        if (!treatment.Products[0].IsPrefilled)
            Repeat(10, 1, () => Fact("opened", Past(), ("product_id", treatment.Products[0].Id)));
        Repeat(20, 1, () => Fact("answered", Recent(10), ("note", dice.Pick(["yes", "no", "later"]))));
        if (dice.Chance(3))
            Fact("ended", today.PlusDays(dice.Between(-20, 20)));
        if (dice.Chance(3) && _voidable.Count > 0)
            Fact("void", today, ("note", dice.Pick(_voidable)));
    }

    private void AddFills()
    {
        var product = dice.Pick(treatment.Products);
        var containers = Containers(product);
        for (var due = start; due <= today; due = due.PlusDays(FillDays))
        {
            var on = due == start ? due : due.PlusDays(dice.Chance(8) ? dice.Between(1, 5) : -dice.Between(0, 5));
            if (on > today || (due > start && dice.Chance(2)))
                continue;
            if (dice.Chance(10))
                Fact("prepared", on, ("product_id", product.Id), ("containers", containers), ("lot", Lot(product, on)));
            var arrives = dice.Chance(20) ? on.PlusDays(dice.Between(1, 4)) : (LocalDate?)null;
            var fill = Fact(
                "dispensed",
                on,
                ("product_id", product.Id),
                ("containers", containers),
                ("expires_on", dice.Chance(95) ? on.PlusDays(product.BeyondUseDays) : null),
                ("lot", dice.Chance(95) ? Lot(product, on) : null),
                ("until", arrives),
                ("days_supply", dice.Chance(90) ? FillDays : null));
            if (arrives is LocalDate expected && dice.Chance(60) && expected <= today)
                Fact("received", Earliest(expected.PlusDays(dice.Between(0, 2)), today), ("note", fill));
        }
    }

    // About what a fill period of the highest step takes, with what is lost; what the in-use limit throws away is not foreseen.
    private int Containers(CatalogueProduct product)
    {
        var perDay = steps.Max(step => step.AmountPerDay) * 1.25m;
        var perContainer = product.IsPrefilled || product.Kind == "single-dose-vial" ? 1m / steps.Max(step => step.DosesPerDay) : decimal.Max(1, decimal.Floor(product.Amount / perDay));
        return (int)decimal.Min(60, decimal.Ceiling(FillDays / treatment.EveryDays / perContainer));
    }

    // One lot a product and week, so that a recall touches many courses.
    private static string Lot(CatalogueProduct product, LocalDate on) =>
        $"{product.Id}-{WeekYearRules.Iso.GetWeekYear(on)}W{WeekYearRules.Iso.GetWeekOfWeekYear(on):00}";

    private void AddChecks()
    {
        foreach (var (before, step) in steps.Zip(steps.Skip(1)).Where(pair => pair.Second.Number > 1 && pair.Second.NeedsCheck))
        {
            if (step.BeginsOn > today.PlusDays(7) || (restart is LocalDate ended && step.BeginsOn >= ended))
                return;
            if (dice.Chance(85))
            {
                var on = Latest(before.BeginsOn, step.BeginsOn.PlusDays(-dice.Between(0, 6)));
                if (on <= today)
                    Fact("approved", on, ("step", step.Number), ("until", dice.Chance(5) ? on.PlusDays(10) : null), ("note", "pharmacist"));
            }

            if (dice.Chance(5) && step.BeginsOn <= today.PlusDays(3))
            {
                var held = Earliest(step.BeginsOn.PlusDays(-3), today);
                Fact("held", held, ("step", step.Number), ("until", dice.Chance(70) ? held.PlusDays(dice.Between(7, 21)) : null), ("note", "pharmacist"));
            }
        }
    }

    private void AddCount()
    {
        var product = dice.Pick(treatment.Products);
        var on = Past();
        if (!_counts.Add((product.Id, on)))
            return;
        decimal? left = product.VolumeMl is decimal full && dice.Chance(70) ? decimal.Round(full * dice.Between(1, 100) / 100, 2) : null;
        Fact(
            "counted",
            on,
            ("product_id", product.Id),
            ("containers", dice.Between(0, product.IsPrefilled ? 30 : 4)),
            ("volume_ml", left),
            ("opened_on", left is not null && dice.Chance(50) ? on.PlusDays(-dice.Between(0, 20)) : null));
    }

    private void AddPause()
    {
        var on = Recent(40);
        var isOpen = dice.Chance(40);
        Fact("paused", on, ("until", isOpen ? null : on.PlusDays(dice.Between(3, 30))));
        if (isOpen && dice.Chance(60))
            Fact("resumed", Earliest(on.PlusDays(dice.Between(1, 20)), today));
    }

    private void AddDiscard()
    {
        var product = treatment.Products[0];
        switch (dice.Below(product.IsPrefilled ? 2 : 3))
        {
            case 0:
                Fact("discarded", Recent(20), ("product_id", dice.Chance(50) ? product.Id : null), ("lot", Lot(product, Past())));
                break;
            case 1:
                Fact("discarded", Recent(20), ("product_id", product.Id), ("containers", dice.Between(1, 2)));
                break;
            default:
                Fact("discarded", Recent(20), ("product_id", product.Id));
                break;
        }
    }

    private LocalDate DosingDay() => start.PlusDays(treatment.EveryDays * dice.Between(0, DaysSinceStart / treatment.EveryDays));

    private LocalDate Past() => start.PlusDays(dice.Between(0, DaysSinceStart));

    private LocalDate Recent(int days) => Latest(start, today.PlusDays(-dice.Between(0, days)));

    private int DaysSinceStart => Period.DaysBetween(start, today);

    private void Repeat(int percent, int most, Action act)
    {
        for (var i = 0; i < most && dice.Chance(percent); i++)
            act();
    }

    private string Fact(string kind, LocalDate on, params ReadOnlySpan<(string Column, object? Value)> cells)
    {
        var id = $"F-{course}-{++_last:000}";
        files.Facts.Add([("fact_id", id), ("course_id", $"C-{course}"), ("kind", kind), ("on", on), .. cells]);
        if (kind != "void")
            _voidable.Add(id);
        return id;
    }

    private static LocalDate Latest(LocalDate left, LocalDate right) => left > right ? left : right;

    private static LocalDate Earliest(LocalDate left, LocalDate right) => left < right ? left : right;
}
