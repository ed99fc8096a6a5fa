using System;
using System.Collections.Generic;
using System.Collections.Immutable;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using Xunit;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>A course written down by hand for a ruling. Days are counted from its start, day 0, a Monday.</summary>
internal sealed class Written
{
    private static readonly LocalDate Start = new(2026, 3, 2);

    private readonly List<Product> _products;
    private readonly List<Step> _steps = [];
    private readonly List<Fact> _facts = [];
    private Device _device = Barrel(1, 0.01m, unitsPerMl: 100);
    private Policy _policy = Policy.Default;

    private Written(IEnumerable<Product> products) => _products = [.. products];

    public static Written Of(params Product[] products) => new(products);

    /// <summary>A multi-dose vial in units, 100 in a mL.</summary>
    public static Product Vial(decimal ml, int? inUseDays = null, decimal perMl = 100) => new()
    {
        Id = "P",
        Drug = "drug",
        Kind = ProductKind.MultiDoseVial,
        Unit = DoseUnit.Units,
        Strength = new Strength(Amount.From(perMl), Volume.FromMl(1)),
        Volume = Volume.FromMl(ml),
        InUseDays = inUseDays,
    };

    /// <summary>A pen in units, 100 in a mL, dialled in single units.</summary>
    public static Product Pen(decimal ml, decimal primeMl = 0, decimal firstPrimeMl = 0, int? inUseDays = null, decimal dialMax = 60) => Vial(ml, inUseDays) with
    {
        Kind = ProductKind.Pen,
        DialStep = Amount.From(1),
        DialMax = Amount.From(dialMax),
        Prime = Volume.FromMl(primeMl),
        FirstPrime = Volume.FromMl(firstPrimeMl),
    };

    public static Product Syringe(decimal dose) => Vial(1) with { Kind = ProductKind.PrefilledSyringe, Strength = null, Volume = null, DoseAmount = Amount.From(dose) };

    public static Device Barrel(decimal capacityMl, decimal graduationMl, decimal? unitsPerMl = null, decimal deadSpaceMl = 0) => new()
    {
        Id = "D",
        Name = "barrel",
        Capacity = Volume.FromMl(capacityMl),
        Graduation = Volume.FromMl(graduationMl),
        MarkedIn = unitsPerMl is null ? BarrelMarking.Ml : BarrelMarking.Units,
        UnitsPerMl = unitsPerMl,
        DeadSpace = Volume.FromMl(deadSpaceMl),
    };

    public Written With(Device device)
    {
        _device = device;
        return this;
    }

    public Written SplitDraws()
    {
        _policy = _policy with { SplitDraws = true };
        return this;
    }

    /// <summary>The next step of a ladder: its doses every so many days, for so many dosing days (null: until further notice).</summary>
    public Written Step(decimal[] doses, int every, int? days = null, bool check = true, int ladder = 1, string product = "P")
    {
        _steps.Add(new Step
        {
            CourseId = "C",
            Ladder = ladder,
            Number = _steps.Count(step => step.Ladder == ladder) + 1,
            ProductId = product,
            Doses = [.. doses.Select(Amount.From)],
            EveryDays = every,
            DoseDays = days,
            NeedsCheck = check,
        });
        return this;
    }

    public Written Dispensed(int day, int containers, int? expires = null, string? lot = null, int? arrives = null, string product = "P") =>
        Add(FactKind.Dispensed, day, fact => fact with { ProductId = product, Containers = containers, ExpiresOn = Day(expires), Lot = lot, Until = Day(arrives) });

    public Written Received(int day, string fill) => Add(FactKind.Received, day, fact => fact with { Note = fill });

    public Written Counted(int day, int containers, decimal? ml = null, int? opened = null, string product = "P") =>
        Add(FactKind.Counted, day, fact => fact with { ProductId = product, Containers = containers, Volume = ml is decimal left ? Volume.FromMl(left) : null, OpenedOn = Day(opened) });

    public Written Opened(int day, string product = "P") => Add(FactKind.Opened, day, fact => fact with { ProductId = product });

    public Written Discarded(int day, int? containers = null, string? lot = null) =>
        Add(FactKind.Discarded, day, fact => fact with { ProductId = lot is null ? "P" : null, Containers = containers, Lot = lot });

    public Written Missed(int day) => Add(FactKind.Missed, day);

    public Written Paused(int day, int? until = null) => Add(FactKind.Paused, day, fact => fact with { Until = Day(until) });

    public Written Resumed(int day) => Add(FactKind.Resumed, day);

    public Written Approved(int day, int step, int? from = null) => Add(FactKind.Approved, day, fact => fact with { Step = step, Until = Day(from) });

    public Written Held(int day, int step, int? until = null) => Add(FactKind.Held, day, fact => fact with { Step = step, Until = Day(until) });

    public Written LadderStarted(int day, int ladder) => Add(FactKind.LadderStarted, day, fact => fact with { Step = ladder });

    public Written Ended(int day) => Add(FactKind.Ended, day);

    public Written Voided(int day, string fact) => Add(FactKind.Void, day, other => other with { Note = fact });

    public SupplyOutcome Walk(string walk, int asOf = 0) => Walks.Of(
        walk,
        new CourseSnapshot
        {
            Course = new Course { Id = "C", PatientId = "A", StartedOn = Start, DeviceId = "D" },
            Patient = new Patient { Id = "A", Name = "A", SiteId = "S" },
            Site = new Site { Id = "S", Name = "S", TimeZone = "America/New_York" },
            Steps = _steps,
            Products = _products.ToImmutableDictionary(product => product.Id),
            Devices = ImmutableDictionary<string, Device>.Empty.Add("D", _device),
            Facts = _facts,
        },
        _policy,
        Start.PlusDays(asOf));

    /// <summary>The number of the day, day 0 being the start; null stays null.</summary>
    public static int? Number(LocalDate? day) => day is LocalDate date ? Period.DaysBetween(Start, date) : null;

    private static LocalDate? Day(int? day) => day is int number ? Start.PlusDays(number) : null;

    /// <summary>Facts are named f1, f2 and so on, in the order in which they are written.</summary>
    private Written Add(FactKind kind, int day, Func<Fact, Fact>? fill = null)
    {
        var fact = new Fact { Id = $"f{_facts.Count + 1}", CourseId = "C", Kind = kind, On = Start.PlusDays(day) };
        _facts.Add(fill is null ? fact : fill(fact));
        return this;
    }
}

/// <summary>What a ruling says of an outcome.</summary>
internal static class Ruling
{
    public static SupplyOutcome RunsOutOn(this SupplyOutcome outcome, int day, BindingLimit? limit = null)
    {
        Assert.Equal((Outcome.RunsOut, day), (outcome.Outcome, Written.Number(outcome.RunOutOn)));
        if (limit is not null)
            Assert.Equal(limit, outcome.BindingLimit);
        return outcome;
    }

    public static SupplyOutcome EndsOn(this SupplyOutcome outcome, int day)
    {
        Assert.Equal((Outcome.Ends, day), (outcome.Outcome, Written.Number(outcome.EndsOn)));
        return outcome;
    }

    public static SupplyOutcome IfHeld(this SupplyOutcome outcome, int? day)
    {
        Assert.Equal(day, Written.Number(outcome.RunOutIfHeldOn));
        return outcome;
    }

    public static SupplyOutcome Covers(this SupplyOutcome outcome, int doses)
    {
        Assert.Equal(doses, outcome.DosesCovered);
        return outcome;
    }

    /// <summary>Volumes in mL.</summary>
    public static SupplyOutcome Flows(this SupplyOutcome outcome, decimal used, decimal lost, decimal discarded, decimal leftOver)
    {
        Assert.Equal((used, lost, discarded, leftOver), (outcome.Used.Ml, outcome.Lost.Ml, outcome.Discarded.Ml, outcome.LeftOver.Ml));
        return outcome;
    }

    /// <summary>These findings and no other.</summary>
    public static SupplyOutcome Finds(this SupplyOutcome outcome, params string[] codes)
    {
        Assert.Equal(codes.Order(StringComparer.Ordinal), outcome.Findings.Select(finding => finding.Code).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal));
        return outcome;
    }

    /// <summary>Nothing is computed, for this reason.</summary>
    public static void IsStoppedBy(this SupplyOutcome outcome, string code)
    {
        Assert.Equal(Outcome.NotComputed, outcome.Outcome);
        Assert.Contains(code, outcome.Findings.Select(finding => finding.Code));
        Assert.Equal((null, null, null, 0, Volume.Zero), (outcome.RunOutOn, outcome.EndsOn, outcome.LastCoveredOn, outcome.DosesCovered, outcome.LeftOver));
    }
}
