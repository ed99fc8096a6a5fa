using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>Random facts of one course, dated near what they touch.</summary>
internal sealed class RandomFacts(Dice dice, CourseSnapshot course, LocalDate asOf)
{
    private static readonly string[] Lots = ["L1", "L2", "L3"];

    private readonly List<Fact> _facts = [];
    private readonly List<(int Ladder, LocalDate On)> _starts = [(1, course.Course.StartedOn)];
    private readonly List<string> _ids = ListIds(dice);
    private readonly List<Product> _products = [.. course.Products.Values.OrderBy(product => product.Id, StringComparer.Ordinal)];

    public IReadOnlyList<Fact> List(bool counts)
    {
        StartLadders();
        for (var i = dice.Pick(1, 1, 2, 3, 4, 6); i > 0; i--)
            Dispense(dice.Chance(70) ? Day(-60, 3) : Day(-10, 0));
        if (dice.Chance(70))
            Dispense(Earliest(course.Course.StartedOn.PlusDays(dice.Between(-4, 1)), asOf));
        for (var i = dice.Pick(0, 0, 1, 2); i > 0; i--)
            Pause();
        for (var i = dice.Pick(0, 1, 2, 4); i > 0; i--)
            Decide();
        for (var i = dice.Pick(0, 0, 1, 3); i > 0; i--)
            Miss();
        for (var i = counts ? dice.Pick(0, 0, 1, 1, 3) : 0; i > 0; i--)
            Count();
        for (var i = dice.Pick(0, 0, 1, 3); i > 0; i--)
            OpenOrDiscard();
        if (dice.Chance(8))
            Add(FactKind.Ended, Day(-30, 40));
        if (dice.Chance(20))
            Add(dice.Pick(FactKind.Prepared, FactKind.Answered), Day(-20, 5));
        for (var i = dice.Chance(25) ? dice.Between(1, 3) : 0; i > 0; i--)
        {
            var target = dice.PickOf(_facts);
            Add(FactKind.Void, dice.Chance(85) ? Day(-20, 0) : Day(0, 10), fact => fact with { Note = target.Id });
        }

        // The order in which facts were recorded does not matter.
        return [.. _facts.OrderBy(_ => dice.Below(1000))];
    }

    private void StartLadders()
    {
        var ladders = course.Steps.Max(step => step.Ladder);
        for (var i = dice.Pick(0, 1, 1, 2); i > 0 && ladders > 1; i--)
        {
            var ladder = dice.Chance(85) ? dice.Between(2, ladders) : 1;
            var on = Latest(Day(-60, 25), course.Course.StartedOn.PlusDays(dice.Pick(0, 1, 3)));
            _starts.Add((ladder, on));
            Add(FactKind.LadderStarted, on, fact => fact with { Step = ladder });
        }

        _starts.Sort((left, right) => left.On.CompareTo(right.On));
    }

    private void Dispense(LocalDate on)
    {
        var product = dice.PickOf(_products);
        var fill = Add(FactKind.Dispensed, on, fact => fact with
        {
            ProductId = product.Id,
            Containers = dice.Pick(1, 2, 3, 5, 8),
            Lot = dice.Chance(70) ? dice.Pick(Lots) : null,
            ExpiresOn = dice.Below(10) switch { < 4 => null, < 7 => on.PlusDays(dice.Between(5, 40)), _ => Day(-5, 60) },
            Until = dice.Chance(30) ? on.PlusDays(dice.Between(0, 12)) : null,
            DaysSupply = 28,
        });
        if (dice.Chance(15))
            Add(FactKind.Received, on.PlusDays(dice.Between(0, 10)), fact => fact with { Note = fill.Id });
    }

    private void Pause()
    {
        var on = Day(-50, 25);
        var pause = Add(FactKind.Paused, on, fact => fact with { Until = dice.Chance(65) ? on.PlusDays(dice.Between(1, 25)) : null });
        if (pause.Until is null ? dice.Chance(65) : dice.Chance(10))
            Add(FactKind.Resumed, on.PlusDays(dice.Between(0, 25)));
    }

    /// <summary>Holds and approvals of one step, around the day on which it would start as prescribed.</summary>
    private void Decide()
    {
        var (ladder, startsOn) = dice.PickOf(_starts);
        var steps = course.ListLadder(ladder);
        if (steps.Count < 2)
            return;
        var step = dice.Between(2, steps.Count);
        var begins = startsOn;
        foreach (var before in steps.Take(step - 1))
            begins = begins.PlusDays(before.EveryDays * before.DoseDays!.Value);
        for (var i = dice.Pick(1, 1, 1, 2, 3); i > 0; i--)
        {
            var on = dice.Below(4) switch { 0 => begins, 1 => begins.PlusDays(dice.Between(-3, 3)), _ => begins.PlusDays(dice.Between(-20, 12)) };
            on = on > asOf && dice.Chance(80) ? Day(-10, 0) : on;
            if (InForceOn(on) != ladder)
                continue;
            var approves = dice.Chance(60);
            var until = approves ? dice.Chance(30) : dice.Chance(55);
            Add(approves ? FactKind.Approved : FactKind.Held, on, fact => fact with { Step = step, Until = until ? on.PlusDays(dice.Between(1, 20)) : null, Note = "ph" });
        }
    }

    private void Miss()
    {
        var (ladder, startsOn) = dice.PickOf(_starts);
        var every = course.ListLadder(ladder)[0].EveryDays;
        var from = dice.Between(0, 14);
        for (var i = 0; i < dice.Pick(1, 1, 2); i++)
            Add(FactKind.Missed, Earliest(startsOn.PlusDays(every * (from + i)), Day(-14, 2)));
    }

    private void Count()
    {
        var product = dice.PickOf(_products);
        var on = Day(-40, 2);
        if (_facts.Exists(fact => fact.Kind == FactKind.Counted && fact.On == on && fact.ProductId == product.Id))
            return;
        Volume? volume = product.Volume is Volume full
            ? dice.Below(4) switch { 0 => null, 1 => Volume.Zero, 2 => full, _ => Volume.FromMl(decimal.Round(full.Ml * dice.Between(1, 9) / 10, 2)) }
            : null;
        Add(FactKind.Counted, on, fact => fact with
        {
            ProductId = product.Id,
            Containers = dice.Pick(0, 0, 1, 2, 4),
            Volume = volume,
            OpenedOn = volume is Volume left && left > Volume.Zero && dice.Chance(40) ? on.PlusDays(-dice.Between(0, 20)) : null,
        });
    }

    private void OpenOrDiscard()
    {
        var product = dice.PickOf(_products);
        var isSyringe = product.Kind == ProductKind.PrefilledSyringe;
        switch (dice.Below(isSyringe ? 2 : 4))
        {
            case 0:
                Add(FactKind.Discarded, Day(-30, 1), fact => fact with { ProductId = dice.Chance(50) ? product.Id : null, Lot = dice.Pick(Lots) });
                break;
            case 1:
                Add(FactKind.Discarded, Day(-30, 1), fact => fact with { ProductId = product.Id, Containers = isSyringe || dice.Chance(60) ? dice.Between(1, 3) : null });
                break;
            default:
                Add(FactKind.Opened, Day(-40, 1), fact => fact with { ProductId = product.Id });
                break;
        }
    }

    private int InForceOn(LocalDate day) => _starts.FindLast(start => start.On <= day) is { Ladder: > 0 } start ? start.Ladder : 1;

    private LocalDate Day(int lowest, int highest) => asOf.PlusDays(dice.Between(lowest, highest));

    private Fact Add(FactKind kind, LocalDate on, Func<Fact, Fact>? fill = null)
    {
        var bare = new Fact { Id = _ids[_facts.Count], CourseId = "C", Kind = kind, On = on };
        var fact = fill is null ? bare : fill(bare);
        _facts.Add(fact);
        return fact;
    }

    private static LocalDate Latest(LocalDate left, LocalDate right) => left > right ? left : right;

    private static LocalDate Earliest(LocalDate left, LocalDate right) => left < right ? left : right;

    /// <summary>Ids in an order of their own, upper and lower case mixed: they are compared by code unit.</summary>
    private static List<string> ListIds(Dice dice)
    {
        var ids = new List<string>();
        for (var i = 0; i < 100; i++)
            ids.Insert(dice.Below(ids.Count + 1), (i % 2 == 0 ? "f" : "F") + i);
        return ids;
    }
}
