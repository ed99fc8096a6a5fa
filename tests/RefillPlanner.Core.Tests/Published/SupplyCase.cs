using System;
using System.Collections.Generic;
using System.Collections.Immutable;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Published;

/// <summary>
/// What is given in a ruling about supply: one product in hand on the first day, a ladder, a barrel. Day 0 is the first dosing day,
/// 2026-01-05 unless a start is written. Without a word: a barrel of 1 mL in 0.01 mL, nothing lost, no in-use limit, no check.
/// </summary>
internal sealed class SupplyCase
{
    private readonly List<Step> _steps = [];
    private readonly List<Fact> _facts = [];
    private int _containers;
    private LocalDate? _expiresOn;
    private Volume _expelled;
    private (Amount Amount, Volume? Per)? _strength;
    private decimal _primeUnits;
    private Product _product = new() { Id = "P", Drug = "drug", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Units };
    private Device _device = new() { Id = "D", Name = "barrel", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Ml };

    public LocalDate StartedOn { get; private set; } = new(2026, 1, 5);

    public LocalDate AsOf { get; private set; }

    public Policy Policy { get; private set; } = Policy.Default;

    private static readonly Phrases<SupplyCase> Grammar = new Phrases<SupplyCase>()
        .Add("start {date}", (given, word) => given.StartedOn = Word.Date(word[0]))
        .Add("{n} (vial|single-dose vial|pen)s? of {d} mL", (given, word) => given.Hold(word))
        .Add("{n} prefilled syringes? of {d} {unit}", (given, word) => given.HoldSyringes(word))
        .Add("{d} {unit}/mL", (given, word) => given.SetStrength(Word.Number(word[0]), word[1], Volume.FromMl(1)))
        .Add("{d} {unit} in each", (given, word) => given.SetStrength(Word.Number(word[0]), word[1], null))
        .Add("{n} days in use", (given, word) => given._product = given._product with { InUseDays = Word.Count(word[0]) })
        .Add("opening day is day (0|1)", (given, word) => given._product = given._product with { InUseCount = word[0] == "0" ? InUseCount.OpeningDayIsDay0 : InUseCount.OpeningDayIsDay1 })
        .Add("expires {date}", (given, word) => given._expiresOn = Word.Date(word[0]))
        .Add("made {date}", (given, word) => given._expiresOn = Word.Date(word[0]))
        .Add("used within {n} days of making", (given, word) => given._expiresOn = given._expiresOn!.Value.PlusDays(Word.Count(word[0])))
        .Add("dialled by {d} up to {d}", (given, word) => given._product = given._product with { DialStep = Word.Amount(word[0]), DialMax = Word.Amount(word[1]) })
        .Add("priming {d} units", (given, word) => given._primeUnits = Word.Number(word[0]))
        .Add("losing {d} mL a draw", (given, word) => given._expelled = Volume.FromMl(Word.Number(word[0])))
        .Add("(mL|U-[0-9]+) barrel of {d} mL in {d} mL", (given, word) => given.SetBarrel(word))
        .Add("shared between containers", (given, _) => given.Policy = given.Policy with { SplitDraws = true })
        .Add("(?:then )?({d}(?: [+] {d})*) {unit} every {n} days?(?: for {n} dosing days)?", (given, word) => given.AddStep(word))
        .Add("rising by {d} every {n} dosing days up to {d}", (given, word) => given.Rise(word))
        .Add("checked before each step", (given, _) => given.CheckSteps())
        .Add("step {n} held on {date} until {date}", (given, word) => given.Record(FactKind.Held, Word.Date(word[1]), Word.Count(word[0]), Word.Date(word[2])))
        .Add("step {n} approved on {date}", (given, word) => given.Record(FactKind.Approved, Word.Date(word[1]), Word.Count(word[0])))
        .Add("missed {date}", (given, word) => given.Record(FactKind.Missed, Word.Date(word[0])))
        .Add("as of {date}", (given, word) => given.AsOf = Word.Date(word[0]));

    public static SupplyCase Read(string text)
    {
        var given = Grammar.Read(new SupplyCase(), text);
        if (given.AsOf < given.StartedOn)
            given.AsOf = given.StartedOn;
        return given;
    }

    /// <summary>The course that the words describe.</summary>
    public CourseSnapshot Course()
    {
        var strength = _strength is (Amount amount, var per) ? new Strength(amount, per ?? _product.Volume!.Value) : (Strength?)null;
        var product = _product with
        {
            Strength = strength,
            Prime = _primeUnits == 0 ? Volume.Zero : Volume.FromMl(_primeUnits * strength!.Value.Per.Ml / strength.Value.Amount.Value),
        };
        return new CourseSnapshot
        {
            Course = new Course { Id = "C", PatientId = "A", StartedOn = StartedOn, DeviceId = _device.Id, Expelled = _expelled },
            Patient = new Patient { Id = "A", Name = "A", SiteId = "S" },
            Site = new Site { Id = "S", Name = "S", TimeZone = "America/New_York" },
            Steps = _steps,
            Products = ImmutableDictionary<string, Product>.Empty.Add(product.Id, product),
            Devices = ImmutableDictionary<string, Device>.Empty.Add(_device.Id, _device),
            Facts = [new Fact { Id = "fill", CourseId = "C", Kind = FactKind.Dispensed, On = StartedOn, ProductId = product.Id, Containers = _containers, ExpiresOn = _expiresOn }, .. _facts],
        };
    }

    private void Hold(string[] word)
    {
        _containers = Word.Count(word[0]);
        _product = _product with
        {
            Kind = word[1] switch { "vial" => ProductKind.MultiDoseVial, "pen" => ProductKind.Pen, _ => ProductKind.SingleDoseVial },
            Volume = Volume.FromMl(Word.Number(word[2])),
        };
    }

    private void HoldSyringes(string[] word)
    {
        _containers = Word.Count(word[0]);
        _product = _product with { Kind = ProductKind.PrefilledSyringe, DoseAmount = Word.Amount(word[1]), Unit = Word.Unit(word[2]) };
    }

    private void SetStrength(decimal amount, string unit, Volume? per)
    {
        _strength = (Amount.From(amount), per);
        _product = _product with { Unit = Word.Unit(unit) };
    }

    private void SetBarrel(string[] word) => _device = _device with
    {
        MarkedIn = word[0] == "mL" ? BarrelMarking.Ml : BarrelMarking.Units,
        UnitsPerMl = word[0] == "mL" ? null : Word.Number(word[0][2..]),
        Capacity = Volume.FromMl(Word.Number(word[1])),
        Graduation = Volume.FromMl(Word.Number(word[2])),
    };

    // Groups: all doses, first, last of the further ones, unit, days, dosing days.
    private void AddStep(string[] word)
    {
        if (Word.Unit(word[3]) != _product.Unit)
            throw new FormatException($"The product is dosed in {_product.Unit}, the dose in {word[3]}.");
        _steps.Add(new Step
        {
            CourseId = "C",
            Number = _steps.Count + 1,
            ProductId = _product.Id,
            Doses = [.. word[0].Split(" + ").Select(Word.Amount)],
            EveryDays = Word.Count(word[4]),
            DoseDays = word[5].Length == 0 ? null : Word.Count(word[5]),
            NeedsCheck = false,
        });
    }

    // The only step so far becomes a ladder; its last step goes on.
    private void Rise(string[] word)
    {
        var first = _steps.Single();
        _steps.Clear();
        for (var dose = first.Doses[0].Value; dose <= Word.Number(word[2]); dose += Word.Number(word[0]))
            _steps.Add(first with { Number = _steps.Count + 1, Doses = [Amount.From(dose)], DoseDays = Word.Count(word[1]) });
        _steps[^1] = _steps[^1] with { DoseDays = null };
    }

    private void CheckSteps()
    {
        for (var index = 0; index < _steps.Count; index++)
            _steps[index] = _steps[index] with { NeedsCheck = true };
    }

    private void Record(FactKind kind, LocalDate on, int? step = null, LocalDate? until = null) => _facts.Add(
        new Fact { Id = $"fact {_facts.Count}", CourseId = "C", Kind = kind, On = on, Step = step, Until = until });
}
