using System;
using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Roster;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>
/// What happened in one random course up to today: a ladder that began in the last months, fills that each came a few days before the
/// one before was used up, checks of the steps, and now and then a count, a missed dose, a vial opened. Most courses are therefore
/// supplied for some day of the next four weeks.
/// </summary>
/// <param name="number">Number of the course, on which alone its story depends.</param>
/// <param name="patientId">Its patient.</param>
/// <param name="seed">Of the roster.</param>
internal sealed class CourseStory(int number, string patientId, int seed)
{
    private const int FillDays = 28;
    private const int FewestFacts = 3;
    private const int MostFacts = 8;
    private const int LongestDaysAgo = 125;

    private readonly Dice _dice = new(seed, number, purpose: 1);
    private readonly string _courseId = $"C-{number:00000000}";
    private readonly List<Step> _steps = [];
    private readonly List<LocalDate> _begins = [];
    private readonly List<int> _doses = [];
    private readonly List<Fact> _facts = [];

    /// <summary>Tells it.</summary>
    public RosterCourse Tell()
    {
        var treatment = _dice.Pick(RosterCatalogue.Treatments);
        var startedOn = LargeRoster.Today.PlusDays(-_dice.Between(0, LongestDaysAgo));
        var device = treatment.Devices.Length == 0 ? null : _dice.Pick(treatment.Devices);
        var course = new Course
        {
            Id = _courseId,
            PatientId = patientId,
            StartedOn = startedOn,
            DeviceId = device?.Id,
            Expelled = device is not null && _dice.Chance(15) ? Volume.FromMl(0.01m) : Volume.Zero,
            FillDays = _dice.Chance(5) ? 56 : null,
        };
        Climb(treatment, startedOn);
        Fill(treatment, device, startedOn);
        Check();
        Remark(treatment, startedOn);
        _facts.Sort((left, right) => left.On.CompareTo(right.On));
        for (var i = 0; i < _facts.Count; i++)
            _facts[i] = _facts[i] with { Id = $"F-{number:00000000}-{i + 1:00}" };
        return new RosterCourse(course, _steps, [Prescribe(startedOn)], NameFills());
    }

    private void Climb(Treatment treatment, LocalDate startedOn)
    {
        var first = _dice.Below(1 + _dice.Below(treatment.Doses.Length));
        var count = _dice.Between(1, treatment.Doses.Length - first);
        var begins = startedOn;
        for (var i = 0; i < count; i++)
        {
            int? days = i == count - 1 ? null : treatment.EveryDays == 1 ? 7 * _dice.Between(1, 4) : 4;
            _begins.Add(begins);
            _doses.Add(first + i);
            _steps.Add(new Step
            {
                CourseId = _courseId,
                Number = i + 1,
                ProductId = treatment.Product.Id,
                Doses = Array.ConvertAll(treatment.Doses[first + i], Amount.From),
                EveryDays = treatment.EveryDays,
                DoseDays = days,
                NeedsCheck = _dice.Chance(95),
            });
            begins = begins.PlusDays(treatment.EveryDays * (days ?? 0));
        }
    }

    private void Fill(Treatment treatment, Device? device, LocalDate startedOn)
    {
        var on = startedOn;
        for (var due = startedOn; on <= LargeRoster.Today; on = due.PlusDays(-_dice.Between(6, 10)))
        {
            var step = _doses[StepOn(due.PlusDays(FillDays - 1))];
            var perContainer = treatment.DosingDaysOfContainer(step, device);
            var dosingDays = (FillDays + treatment.EveryDays - 1) / treatment.EveryDays;
            var containers = (dosingDays + perContainer - 1) / perContainer;
            var lasts = containers * perContainer * treatment.EveryDays;
            if (treatment.Product.Kind is ProductKind.PrefilledSyringe or ProductKind.SingleDoseVial)
                containers *= treatment.Doses[step].Length;
            _facts.Add(New(FactKind.Dispensed, on) with
            {
                ProductId = treatment.Product.Id,
                Containers = containers,
                ExpiresOn = on.PlusDays(treatment.Product.BeyondUseDays ?? 365),
                Lot = $"{treatment.Product.Id}-{on.Year}{on.Month:00}",
                Until = _dice.Chance(25) ? on.PlusDays(2) : null,
                DaysSupply = FillDays,
            });
            due = due.PlusDays(lasts);
        }
    }

    private void Check()
    {
        for (var i = 1; i < _steps.Count && _begins[i] <= LargeRoster.Today.PlusDays(14); i++)
        {
            var on = Latest(_begins[i - 1], _begins[i].PlusDays(-_dice.Between(7, 14)));
            if (_steps[i].NeedsCheck && on <= LargeRoster.Today && _dice.Chance(97))
                _facts.Add(New(FactKind.Approved, on) with { Step = i + 1, Note = "pharmacist" });
        }
    }

    private void Remark(Treatment treatment, LocalDate startedOn)
    {
        var product = treatment.Product;
        var sinceStart = Period.DaysBetween(startedOn, LargeRoster.Today);
        LocalDate Past() => startedOn.PlusDays(_dice.Between(0, sinceStart));
        if (_dice.Chance(30))
            Count(_dice.Pick(_facts));
        if (_dice.Chance(15))
            _facts.Add(New(FactKind.Missed, startedOn.PlusDays(treatment.EveryDays * _dice.Between(0, sinceStart / treatment.EveryDays))));
        if (product.Volume is not null && _dice.Chance(15))
            _facts.Add(New(FactKind.Opened, Past()) with { ProductId = product.Id });
        if (_dice.Chance(3))
        {
            var on = Past();
            _facts.Add(New(FactKind.Paused, on) with { Until = Latest(on.PlusDays(1), LargeRoster.Today.PlusDays(_dice.Between(-10, 20))) });
        }

        while (_facts.Count < FewestFacts || (_facts.Count < MostFacts && _dice.Chance(45)))
            _facts.Add(New(FactKind.Answered, Past()) with { Note = _dice.Pick(["yes", "no", "later"]) });
    }

    // Counts are taken when a fill is handed over: what was just given is there, and nothing is open.
    private void Count(Fact fill)
    {
        if (fill.Kind == FactKind.Dispensed && fill.Until is null)
            _facts.Add(New(FactKind.Counted, fill.On) with { ProductId = fill.ProductId, Containers = fill.Containers });
    }

    // A shipped fill that has arrived was mostly seen to arrive; the fact names the fill, so it comes when all have their ids.
    private List<Fact> NameFills()
    {
        var last = _facts.Count;
        for (var i = 0; i < last; i++)
        {
            if (_facts[i].Kind == FactKind.Dispensed && _facts[i].Until is LocalDate until && until < LargeRoster.Today && _dice.Chance(97))
                _facts.Add(New(FactKind.Received, until.PlusDays(_dice.Between(-1, 0))) with { Id = $"F-{number:00000000}-{_facts.Count + 1:00}", Note = _facts[i].Id });
        }

        return _facts;
    }

    private Prescription Prescribe(LocalDate startedOn)
    {
        var issuedOn = startedOn.PlusDays(-_dice.Between(0, 6));
        return new Prescription
        {
            Id = $"RX-{number:00000000}",
            CourseId = _courseId,
            IssuedOn = issuedOn,
            RefillsAuthorized = _dice.Between(5, 11),
            ValidThrough = issuedOn.PlusDays(365),
            Prescriber = $"Dr. Invented {number % 50}",
            PrescriberPhone = $"555-01{number % 100:00}",
        };
    }

    private int StepOn(LocalDate day)
    {
        var step = 0;
        while (step + 1 < _steps.Count && _begins[step + 1] <= day)
            step++;
        return step;
    }

    private Fact New(FactKind kind, LocalDate on) => new() { Id = "", CourseId = _courseId, Kind = kind, On = on };

    private static LocalDate Latest(LocalDate left, LocalDate right) => left > right ? left : right;
}
