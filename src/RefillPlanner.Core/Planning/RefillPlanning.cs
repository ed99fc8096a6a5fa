using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Sharps;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Planning;

/// <summary>Plans the next refill of a course (planning model, section 2).</summary>
internal static class RefillPlanning
{
    /// <summary>The refill; null for a course that ends, is covered beyond the horizon, or is not computed.</summary>
    /// <param name="supply">The course, walked.</param>
    /// <param name="openDays">The site's.</param>
    /// <param name="sharps">The forecasts of the patient's sharps containers.</param>
    /// <param name="findings">Where doubts go.</param>
    public static RefillPlan? Find(CourseSupply supply, OpenDays openDays, IReadOnlyList<SharpsForecast> sharps, List<Finding> findings)
    {
        if (supply.Main.Outcome == Outcome.NotComputed || FindServed(supply) is not (DosingDays days, WalkResult walk))
            return null;

        var (course, policy) = (supply.Course, supply.Policy);
        var product = supply.Demands[walk.Step!.Value].Product;
        var servesOn = DayNumber.Date(walk.Day);
        var needInHandOn = servesOn.PlusDays(-policy.SafetyDays);
        var dates = RefillDates.Of(needInHandOn, product, course.Patient.Handover, openDays, policy);
        if (!dates.HasSafeShipDay)
            findings.Add(new Finding(FindingCode.NoSafeShipDay, $"{product.Drug} must stay cold, and no ship day in 30 brings it safely by {DateText.Full(needInHandOn)}. The dates shown are those of a parcel that need not stay cold: a person must arrange the way."));
        if (!openDays.IsKnown(needInHandOn))
            findings.Add(new Finding(FindingCode.CalendarEnds, $"The closed days of {course.Site.Name} are not known on {DateText.Full(needInHandOn)}."));

        var prescription = FindPrescription(supply);
        var (renewBecause, refillsLeft) = Renewal(supply, prescription, dates.PrepareOn);
        LocalDate? renewOn = renewBecause is null ? null : openDays.Minus(dates.ContactOn, policy.RenewalOpenDays);
        var earliestOn = FindEarliestFillOn(supply, product, prescription);
        if (earliestOn > dates.PrepareOn)
            findings.Add(new Finding(FindingCode.EarlyFillBlocks, $"The early-fill rule opens on {DateText.Full(earliestOn.Value)}, the fill is to be prepared on {DateText.Full(dates.PrepareOn)}. A dose increase or travel may justify an override: a person decides."));

        var fillDays = course.Course.FillDays ?? policy.FillDays;
        var dispensing = DispensingPlan.Of(supply, days, walk.Day, dates.PrepareOn, fillDays);
        if (dispensing.IsShortened)
            findings.Add(new Finding(FindingCode.BeyondUseShortensFill, $"Containers of {product.Drug} made up on {DateText.Full(dates.PrepareOn)} pass their beyond-use date before {fillDays} days from {DateText.Full(servesOn)} are given; the fill lasts {dispensing.DaysSupply} days."));
        CompareBilled(supply, dispensing, findings);
        return new RefillPlan
        {
            ServesOn = servesOn,
            ProductId = product.Id,
            Handover = course.Patient.Handover,
            NeedInHandOn = needInHandOn,
            ReadyOn = dates.ReadyOn,
            PrepareOn = dates.PrepareOn,
            ContactOn = dates.ContactOn,
            RenewOn = renewOn,
            RenewBecause = renewBecause,
            RefillsLeft = refillsLeft,
            EarliestFillOn = earliestOn,
            LateDays = int.Max(0, Period.DaysBetween(renewOn ?? dates.ContactOn, supply.AsOf)),
            DaysSupply = dispensing.DaysSupply,
            Items = dispensing.Items,
            Supplies = ListSupplies(supply, dispensing.Served, sharps, dates.ReadyOn, servesOn.PlusDays(fillDays)),
        };
    }

    // The walk that runs out first, with its dosing days; the one as planned when both do so on one day.
    private static (DosingDays Days, WalkResult Walk)? FindServed(CourseSupply supply)
    {
        var main = supply.Main.Outcome == Outcome.RunsOut ? supply.Main : null;
        var held = supply.Held?.Outcome == Outcome.RunsOut ? supply.Held : null;
        return (main, held) switch
        {
            (null, null) => null,
            (not null, null) => (supply.Days, main),
            (null, not null) => (supply.HeldDays!, held),
            _ => main.Day <= held.Day ? (supply.Days, main) : (supply.HeldDays!, held),
        };
    }

    // The newest prescription on record; of two issued on one day the larger id.
    private static Prescription? FindPrescription(CourseSupply supply) => supply.Course.Prescriptions
        .Where(prescription => prescription.IssuedOn <= supply.AsOf)
        .OrderBy(prescription => prescription.IssuedOn)
        .ThenBy(prescription => prescription.Id, StringComparer.Ordinal)
        .LastOrDefault();

    private static (string? Because, int? RefillsLeft) Renewal(CourseSupply supply, Prescription? prescription, LocalDate prepareOn)
    {
        if (prescription is null)
            return ("no prescription is on record", null);

        var fills = supply.Facts.Count(fact => fact.Kind == FactKind.Dispensed && fact.On >= prescription.IssuedOn);
        var left = RefillRules.RefillsLeft(prescription, fills);
        var noneLeft = left == 0;
        var lastOn = RefillRules.LastValidOn(prescription);
        var lapses = lastOn < prepareOn;
        var noneText = prescription.Schedule switch
        {
            2 => $"schedule II of {prescription.Id} allows no refill",
            3 or 4 when prescription.RefillsAuthorized >= 5 => $"the five refills that its schedule allows under {prescription.Id} are used",
            _ => $"no refill is left under {prescription.Id}",
        };
        var lapseText = lastOn is LocalDate last ? $"{prescription.Id} may be filled through {DateText.Full(last)} only" : null;
        return ((noneLeft, lapses) switch
        {
            (true, true) when lastOn < supply.AsOf => lapseText,
            (true, _) => noneText,
            (_, true) => lapseText,
            _ => null,
        }, left);
    }

    private static LocalDate? FindEarliestFillOn(CourseSupply supply, Product product, Prescription? prescription)
    {
        var fill = supply.Facts.LastOrDefault(fact => fact.Kind == FactKind.Dispensed && fact.DaysSupply is not null
            && supply.Course.Products[fact.ProductId!].Family == product.Family);
        if (fill is null)
            return null;
        var percent = supply.Course.Course.EarlyFillPercent
            ?? (prescription?.Schedule is not null ? RefillRules.ControlledEarlyFillPercent : supply.Policy.EarlyFillPercent);
        return RefillRules.EarliestFillOn(fill.On, fill.DaysSupply!.Value, percent);
    }

    // The billed figure of the last fill of the same content, against the one worked out.
    private static void CompareBilled(CourseSupply supply, DispensingPlan dispensing, List<Finding> findings)
    {
        if (dispensing.Items is not [var item])
            return;
        var fill = supply.Facts.LastOrDefault(fact => fact.Kind == FactKind.Dispensed && fact.DaysSupply is not null
            && fact.ProductId == item.ProductId && fact.Containers == item.Containers);
        if (fill?.DaysSupply is int billed && int.Abs(billed - dispensing.DaysSupply) > 1)
            findings.Add(new Finding(FindingCode.DaysSupplyDisagrees, $"{item.Containers} of {item.ProductId} last {dispensing.DaysSupply} days by the walk; {fill.Id} billed {billed} days for the same."));
    }

    private static List<RefillSupply> ListSupplies(CourseSupply supply, IReadOnlyList<(int Step, int Days)> served, IReadOnlyList<SharpsForecast> sharps, LocalDate readyOn, LocalDate until)
    {
        var supplies = new SortedDictionary<(RefillSupplyKind Kind, string Device), int>();
        void Add(RefillSupplyKind kind, string? device, int count) =>
            supplies[(kind, device ?? string.Empty)] = supplies.GetValueOrDefault((kind, device ?? string.Empty)) + count;

        foreach (var (step, days) in served)
        {
            var demand = supply.Demands[step];
            var injections = days * demand.InjectionsPerDay;
            Add(RefillSupplyKind.Pad, null, injections);
            if (demand.Product.Kind == ProductKind.Pen)
                Add(RefillSupplyKind.PenNeedle, null, injections);
            if (demand.Product.Kind is not (ProductKind.MultiDoseVial or ProductKind.SingleDoseVial))
                continue;
            var device = supply.Course.FindDevice(supply.Days.Steps[step].Step)!;
            Add(RefillSupplyKind.Syringe, device.Id, injections);
            if (device.SharpsPerInjection > 1)
                Add(RefillSupplyKind.DrawUpNeedle, null, injections * (device.SharpsPerInjection - 1));
        }

        if (sharps.Any(forecast => forecast.IsOut && forecast.FillLineOn is LocalDate full && full >= readyOn && full < until))
            Add(RefillSupplyKind.SharpsContainer, null, 1);
        return [.. supplies.Select(item => new RefillSupply(item.Key.Kind, item.Key.Device.Length > 0 ? item.Key.Device : null, item.Value))];
    }
}
