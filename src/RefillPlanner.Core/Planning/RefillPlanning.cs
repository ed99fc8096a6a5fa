using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>Why a renewal is asked for.</summary>
internal enum RenewalCause
{
    /// <summary>None is.</summary>
    None,

    /// <summary>No prescription is on record.</summary>
    NoPrescription,

    /// <summary>No refill is left under the one in force.</summary>
    NoRefillLeft,

    /// <summary>It does not hold through the day of preparing.</summary>
    Lapses,
}

/// <summary>The next refill of a course in numbers (planning model, section 2); it becomes words when somebody is to read it.</summary>
internal sealed class RefillPlanning
{
    private readonly CourseSupply _supply;
    private readonly OpenDays _openDays;

    private RefillPlanning(CourseSupply supply, OpenDays openDays, DosingDays days, in WalkResult walk)
    {
        _supply = supply;
        _openDays = openDays;
        var (course, policy) = (supply.Course, supply.Policy);
        Product = supply.Demands[walk.Step].Product;
        ServesOn = walk.Day;
        NeedInHandOn = walk.Day - policy.SafetyDays;
        Dates = RefillDates.Of(NeedInHandOn, Product, course.Patient.Handover, openDays, policy);
        Prescription = FindPrescription(supply);
        SetRenewal();
        EarliestFillOn = FindEarliestFillOn();
        FillDays = course.Course.FillDays ?? policy.FillDays;
        Dispensing = DispensingPlan.Of(supply, days, walk.Day, Dates.PrepareOn, FillDays);
        BilledOtherwise = FindBilledOtherwise();
    }

    /// <summary>The product that the walk called for on the run-out.</summary>
    public Product Product { get; }

    /// <summary>The run-out that it serves.</summary>
    public int ServesOn { get; }

    /// <summary>Last day on which it may come into the patient's hands.</summary>
    public int NeedInHandOn { get; }

    /// <summary>When it is handed over, made up, asked about.</summary>
    public RefillDates Dates { get; }

    /// <summary>The prescription in force; null: none is on record.</summary>
    public Prescription? Prescription { get; }

    /// <summary>Why a renewal is needed.</summary>
    public RenewalCause RenewalCause { get; private set; }

    /// <summary>When the prescriber is asked; null: no renewal is needed.</summary>
    public int? RenewOn { get; private set; }

    /// <summary>Refills left under the prescription in force; null: none is on record.</summary>
    public int? RefillsLeft { get; private set; }

    /// <summary>Last lawful day of filling under it; null: no such day is known.</summary>
    public LocalDate? LastValidOn { get; private set; }

    /// <summary>The first day on which the early-fill rule lets it be; null: no billed fill is on record.</summary>
    public int? EarliestFillOn { get; }

    /// <summary>Length of the fill in days.</summary>
    public int FillDays { get; }

    /// <summary>What to dispense.</summary>
    public DispensingPlan Dispensing { get; }

    /// <summary>The last fill of the same content, where its billed days' supply is another; null: none is.</summary>
    public Fact? BilledOtherwise { get; }

    /// <summary>The refill; null for a course that ends, is covered beyond the horizon, or is not computed.</summary>
    /// <param name="supply">The course, walked.</param>
    /// <param name="openDays">The site's.</param>
    public static RefillPlanning? Find(CourseSupply supply, OpenDays openDays)
    {
        if (supply.Main.Outcome == Outcome.NotComputed)
            return null;
        if (supply.RunsOutEarlierIfHeld)
            return new RefillPlanning(supply, openDays, supply.HeldDays!, supply.Held!.Value);
        return supply.Main.Outcome == Outcome.RunsOut ? new RefillPlanning(supply, openDays, supply.Days, supply.Main) : null;
    }

    /// <summary>Adds the figures, none of which changes only because a day has passed.</summary>
    public void AddTo(PackWriter bytes)
    {
        bytes.Add(ServesOn);
        bytes.Add(NeedInHandOn);
        bytes.Add(Dates.ReadyOn);
        bytes.Add(Dates.PrepareOn);
        bytes.Add(Dates.ContactOn);
        bytes.Add(Dates.HasSafeShipDay);
        bytes.Add((long)RenewalCause);
        bytes.Add(RenewOn);
        bytes.Add(RefillsLeft);
        bytes.Add(EarliestFillOn);
        bytes.Add(FillDays);
        bytes.Add(Dispensing.IsShortened);
        bytes.Add(Dispensing.DaysSupply);
        bytes.Add(BilledOtherwise is not null);
        for (var place = 0; place < _supply.Shelf.Count; place++)
        {
            bytes.Add(Dispensing.ContainersOf(place));
            bytes.Add(Dispensing.StepOf(place));
        }
    }

    /// <summary>The same in words, with what is doubtful about it.</summary>
    /// <param name="containers">How many sharps containers go with it.</param>
    /// <param name="findings">Where doubts go.</param>
    public RefillPlan Say(int containers, List<Finding> findings)
    {
        var site = _supply.Course.Site;
        var servesOn = DayNumber.Date(ServesOn);
        var needInHandOn = DayNumber.Date(NeedInHandOn);
        var prepareOn = DayNumber.Date(Dates.PrepareOn);
        if (!Dates.HasSafeShipDay)
            findings.Add(new Finding(FindingCode.NoSafeShipDay, $"{Product.Drug} must stay cold, and no ship day in 30 brings it safely by {DateText.Full(needInHandOn)}. The dates shown are those of a parcel that need not stay cold: a person must arrange the way."));
        if (!_openDays.IsKnown(NeedInHandOn))
            findings.Add(new Finding(FindingCode.CalendarEnds, $"The closed days of {site.Name} are not known on {DateText.Full(needInHandOn)}."));
        if (EarliestFillOn > Dates.PrepareOn)
            findings.Add(new Finding(FindingCode.EarlyFillBlocks, $"The early-fill rule opens on {DateText.Full(DayNumber.Date(EarliestFillOn.Value))}, the fill is to be prepared on {DateText.Full(prepareOn)}. A dose increase or travel may justify an override: a person decides."));
        if (Dispensing.IsShortened)
            findings.Add(new Finding(FindingCode.BeyondUseShortensFill, $"Containers of {Product.Drug} made up on {DateText.Full(prepareOn)} pass their beyond-use date before {FillDays} days from {DateText.Full(servesOn)} are given; the fill lasts {Dispensing.DaysSupply} days."));
        var items = ListItems();
        if (BilledOtherwise is Fact fill)
            findings.Add(new Finding(FindingCode.DaysSupplyDisagrees, $"{items[0].Containers} of {items[0].ProductId} last {Dispensing.DaysSupply} days by the walk; {fill.Id} billed {fill.DaysSupply} days for the same."));
        return new RefillPlan
        {
            ServesOn = servesOn,
            ProductId = Product.Id,
            Handover = _supply.Course.Patient.Handover,
            NeedInHandOn = needInHandOn,
            ReadyOn = DayNumber.Date(Dates.ReadyOn),
            PrepareOn = prepareOn,
            ContactOn = DayNumber.Date(Dates.ContactOn),
            RenewOn = RenewOn is int renewOn ? DayNumber.Date(renewOn) : null,
            RenewBecause = RenewBecause(),
            RefillsLeft = RefillsLeft,
            EarliestFillOn = EarliestFillOn is int earliest ? DayNumber.Date(earliest) : null,
            LateDays = int.Max(0, _supply.AsOfDay - (RenewOn ?? Dates.ContactOn)),
            DaysSupply = Dispensing.DaysSupply,
            Items = items,
            Supplies = ListSupplies(containers),
        };
    }

    // In order of step, then product.
    private List<RefillItem> ListItems()
    {
        var items = new List<RefillItem>();
        for (var place = 0; place < _supply.Shelf.Count; place++)
        {
            if (Dispensing.ContainersOf(place) is > 0 and var containers)
                items.Add(new RefillItem(_supply.Shelf[place].Product.Id, _supply.Days.Steps[Dispensing.StepOf(place)].Step.Number, containers));
        }

        return [.. items.OrderBy(item => item.Step)];
    }

    // The newest prescription on record; of two issued on one day the larger id.
    private static Prescription? FindPrescription(CourseSupply supply)
    {
        Prescription? newest = null;
        var prescriptions = supply.Course.Prescriptions;
        for (var index = 0; index < prescriptions.Count; index++)
        {
            var prescription = prescriptions[index];
            if (prescription.IssuedOn <= supply.AsOf && (newest is null || prescription.IssuedOn > newest.IssuedOn
                || (prescription.IssuedOn == newest.IssuedOn && string.CompareOrdinal(prescription.Id, newest.Id) > 0)))
                newest = prescription;
        }

        return newest;
    }

    private void SetRenewal()
    {
        if (Prescription is Prescription prescription)
        {
            RefillsLeft = RefillRules.RefillsLeft(prescription, CountFills(prescription.IssuedOn));
            LastValidOn = RefillRules.LastValidOn(prescription);
            var lapses = LastValidOn is LocalDate last && DayNumber.Of(last) < Dates.PrepareOn;
            var hasLapsed = LastValidOn < _supply.AsOf;
            RenewalCause = (RefillsLeft == 0, lapses) switch
            {
                (true, true) when hasLapsed => RenewalCause.Lapses,
                (true, _) => RenewalCause.NoRefillLeft,
                (_, true) => RenewalCause.Lapses,
                _ => RenewalCause.None,
            };
        }
        else
        {
            RenewalCause = RenewalCause.NoPrescription;
        }

        if (RenewalCause != RenewalCause.None)
            RenewOn = _openDays.Minus(Dates.ContactOn, _supply.Policy.RenewalOpenDays);
    }

    private string? RenewBecause() => RenewalCause switch
    {
        RenewalCause.NoPrescription => "no prescription is on record",
        RenewalCause.NoRefillLeft when Prescription!.Schedule == 2 => $"schedule II of {Prescription.Id} allows no refill",
        RenewalCause.NoRefillLeft when Prescription!.Schedule is 3 or 4 && Prescription.RefillsAuthorized >= 5 => $"the five refills that its schedule allows under {Prescription.Id} are used",
        RenewalCause.NoRefillLeft => $"no refill is left under {Prescription!.Id}",
        RenewalCause.Lapses => $"{Prescription!.Id} may be filled through {DateText.Full(LastValidOn!.Value)} only{(Prescription.Schedule is 3 or 4 && Prescription.IssuedOn.PlusMonths(6) == LastValidOn ? $", six months after its issue (schedule {(Prescription.Schedule == 3 ? "III" : "IV")})" : string.Empty)}",
        _ => null,
    };

    private int CountFills(LocalDate since)
    {
        var fills = 0;
        for (var index = 0; index < _supply.Facts.Length; index++)
            fills += _supply.Facts[index].Kind == FactKind.Dispensed && _supply.Facts[index].On >= since ? 1 : 0;
        return fills;
    }

    private int? FindEarliestFillOn()
    {
        for (var index = _supply.Facts.Length - 1; index >= 0; index--)
        {
            var fill = _supply.Facts[index];
            if (fill.Kind != FactKind.Dispensed || fill.DaysSupply is not int days || _supply.Course.Products[fill.ProductId!].Family != Product.Family)
                continue;
            var percent = _supply.Course.Course.EarlyFillPercent
                ?? (Prescription?.Schedule is not null ? RefillRules.ControlledEarlyFillPercent : _supply.Policy.EarlyFillPercent);
            return DayNumber.Of(RefillRules.EarliestFillOn(fill.On, days, percent));
        }

        return null;
    }

    // The billed figure of the last fill of the same content, against the one worked out.
    private Fact? FindBilledOtherwise()
    {
        var only = -1;
        for (var place = 0; place < _supply.Shelf.Count; place++)
        {
            if (Dispensing.ContainersOf(place) == 0)
                continue;
            if (only >= 0)
                return null;
            only = place;
        }

        for (var index = _supply.Facts.Length - 1; index >= 0 && only >= 0; index--)
        {
            var fill = _supply.Facts[index];
            if (fill.Kind == FactKind.Dispensed && fill.DaysSupply is int billed && fill.Containers == Dispensing.ContainersOf(only)
                && string.Equals(fill.ProductId, _supply.Shelf[only].Product.Id, StringComparison.Ordinal))
                return int.Abs(billed - Dispensing.DaysSupply) > 1 ? fill : null;
        }

        return null;
    }

    private List<RefillSupply> ListSupplies(int containers)
    {
        var supplies = new SortedDictionary<(RefillSupplyKind Kind, string Device), int>();
        void Add(RefillSupplyKind kind, string? device, int count) =>
            supplies[(kind, device ?? string.Empty)] = supplies.GetValueOrDefault((kind, device ?? string.Empty)) + count;

        foreach (var (step, days) in Dispensing.Served)
        {
            var demand = _supply.Demands[step];
            var injections = days * demand.InjectionsPerDay;
            Add(RefillSupplyKind.Pad, null, injections);
            if (demand.Product.Kind == ProductKind.Pen)
                Add(RefillSupplyKind.PenNeedle, null, injections);
            if (demand.Product.Kind is not (ProductKind.MultiDoseVial or ProductKind.SingleDoseVial))
                continue;
            var device = _supply.Course.FindDevice(_supply.Days.Steps[step].Step)!;
            Add(RefillSupplyKind.Syringe, device.Id, injections);
            if (device.SharpsPerInjection > 1)
                Add(RefillSupplyKind.DrawUpNeedle, null, injections * (device.SharpsPerInjection - 1));
        }

        if (containers > 0)
            Add(RefillSupplyKind.SharpsContainer, null, containers);
        return [.. supplies.Select(item => new RefillSupply(item.Key.Kind, item.Key.Device.Length > 0 ? item.Key.Device : null, item.Value))];
    }
}
