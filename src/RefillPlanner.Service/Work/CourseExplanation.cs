using System.Collections.Generic;
using System.Linq;
using System.Text;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Service.Work;

/// <summary>The working of one course in words: the doses, the walk line by line, and each date with the rule that made it.</summary>
public static class CourseExplanation
{
    /// <summary>Writes the working.</summary>
    /// <param name="course">The course.</param>
    /// <param name="plan">Its plan of the day.</param>
    /// <param name="policy">The site's settings.</param>
    /// <param name="others">The patient's other courses with their plans: what they are read off may be mixed up with this one.</param>
    public static string Of(CourseSnapshot course, CoursePlan plan, Policy policy, IEnumerable<(CourseSnapshot Course, CoursePlan Plan)> others)
    {
        var text = new StringBuilder();
        var today = plan.AsOf;
        text.AppendLine($"Course {course.Course.Id}, {course.Patient.Name} ({course.Patient.Id}), as of {DateText.Day(today, today)}, before that day's doses");
        text.AppendLine();
        AddSteps(text, course, plan, policy);
        AddSection(text, "Numbers that may be mixed up", UnitMix.ListOf(course, plan, policy, others).Select(mixed => mixed.Text));
        AddWalk(text, course, plan, policy);
        AddDates(text, course, plan, policy);
        AddSection(text, "Counts that found more than the record", plan.Surpluses.Select(surplus => surplus.Text));
        text.AppendLine().AppendLine($"Proportion of days covered: {plan.DaysCoveredText}");
        AddSection(text, "Findings", plan.Findings.Select(finding => $"{finding.Code}: {finding.Text}"));
        text.AppendLine().AppendLine(Cautions.Staff);
        return text.ToString();
    }

    private static void AddSection(StringBuilder text, string title, IEnumerable<string> lines)
    {
        foreach (var (place, line) in lines.Index())
        {
            if (place == 0)
                text.AppendLine().AppendLine(title);
            text.AppendLine($"  {line}");
        }
    }

    private static void AddSteps(StringBuilder text, CourseSnapshot course, CoursePlan plan, Policy policy)
    {
        text.AppendLine($"Doses (ladder {plan.Supply.Ladder}, now step {plan.Supply.Step})");
        foreach (var step in course.ListLadder(plan.Supply.Ladder))
        {
            var product = course.Products[step.ProductId];
            var device = product.Kind is ProductKind.Pen or ProductKind.PrefilledSyringe ? null : course.FindDevice(step);
            var lasts = step.DoseDays is int days ? $"{days} dosing days" : "until further notice";
            text.AppendLine($"  Step {step.Number}: {product.Drug} {DoseText.Doses(step.Doses, product.Unit)} every {step.EveryDays} days, {lasts}{(step.Number > 1 && !step.NeedsCheck ? ", no check asked" : string.Empty)}");
            foreach (var dose in step.Doses.Distinct())
            {
                var draw = Draws.Of(product, device, step.Expelled ?? course.Course.Expelled, dose, policy.OffMarksPercent);
                var takes = product.Kind == ProductKind.PrefilledSyringe ? string.Empty : $"; takes {string.Join(" + ", draw.Needed.Select(DoseText.Volume))} with what is lost";
                text.AppendLine($"    {DoseText.Amount(dose, product.Unit)}: {DoseText.Draw(draw, product, device, dose)}{takes}");
            }
        }
    }

    private static void AddWalk(StringBuilder text, CourseSnapshot course, CoursePlan plan, Policy policy)
    {
        text.AppendLine().AppendLine("Walk");
        foreach (var line in SupplyComputation.ListWorking(course, policy, plan.AsOf))
        {
            var days = line.On == line.Through ? Iso(line.On) : $"{Iso(line.On)} to {Iso(line.Through)}";
            text.AppendLine($"  {days,-24}  {Words(line, course.Products[line.ProductId])}");
        }

        var supply = plan.Supply;
        text.AppendLine($"  {supply.Outcome switch
        {
            Outcome.RunsOut => $"Runs out on {Iso(supply.RunOutOn)}: that day's next dose cannot be given in full ({Kebab.Of(supply.BindingLimit!.Value)} binds).",
            Outcome.Ends => $"The course ends: no doses from {Iso(supply.EndsOn)} on.",
            Outcome.BeyondHorizon => $"Covered through {Iso(plan.AsOf.PlusDays(policy.HorizonDays))}, the horizon of {policy.HorizonDays} days.",
            _ => "Not computed: see the findings.",
        }}");
        if (supply.RunOutIfHeldOn is LocalDate held)
            text.AppendLine($"  If the coming step is held back: runs out on {Iso(held)}.");
        text.AppendLine($"  From {Iso(plan.AsOf)} on: {supply.DosesCovered} doses covered, used {DoseText.Volume(supply.Used)}, lost {DoseText.Volume(supply.Lost)}, discarded {DoseText.Volume(supply.Discarded)}, left over {DoseText.Volume(supply.LeftOver)}, {supply.ContainersOpened} containers opened.");
    }

    private static string Words(WalkLine line, Product product)
    {
        var left = DoseText.Volume(line.Left);
        var note = line.Note.Length > 0 ? $" ({line.Note})" : string.Empty;
        return line.Kind switch
        {
            WalkLineKind.Arrived => $"{line.Count} of {line.ProductId} arrived{note}",
            WalkLineKind.Counted => $"counted: {line.Count} sealed of {line.ProductId}, {left} in the open one{Known(line, product)}{note}",
            WalkLineKind.Opened => $"opened one of {line.ProductId}{(product.Kind == ProductKind.PrefilledSyringe ? string.Empty : $", {left} in it")}{InUse(line, product)}{note}",
            WalkLineKind.Drawn => $"{line.Count} doses from {line.ProductId}: used {DoseText.Volume(line.Used)}, lost {DoseText.Volume(line.Lost)}; {left} left",
            WalkLineKind.Discarded => $"closed one of {line.ProductId}, {left} thrown away: {Why(line.ClosedBy)}{note}",
            WalkLineKind.Missed => "doses missed",
            WalkLineKind.Paused => $"{line.Count} dosing days paused",
            _ => $"a dose of {line.ProductId} is not covered: {left} in all containers{note}",
        };
    }

    private static string Known(WalkLine line, Product product)
    {
        if (line is not { Known: CountedStock known, Found: CountedStock found })
            return string.Empty;
        return product.Kind == ProductKind.PrefilledSyringe
            ? $"; by the record before it {known.Sealed} sealed"
            : $": {DoseText.Volume(found.Volume)} in all, by the record before it {DoseText.Volume(known.Volume)}";
    }

    private static string InUse(WalkLine line, Product product)
    {
        if (product.InUseDays is not int days || product.Kind == ProductKind.PrefilledSyringe)
            return string.Empty;
        var last = line.On.PlusDays(product.InUseCount == InUseCount.OpeningDayIsDay1 ? days - 1 : days);
        return $", last day of use {Iso(last)} by {days} days in use, discard on {Iso(last.PlusDays(1))}";
    }

    private static string Why(ClosedBy? closedBy) => closedBy switch
    {
        ClosedBy.NextDose => "the next dose no longer fitted",
        ClosedBy.Empty => "empty",
        ClosedBy.InUseLimit => "past its in-use limit",
        ClosedBy.BeyondUse => "past its beyond-use date",
        ClosedBy.SealedBeyondUse => "sealed, past its beyond-use date",
        ClosedBy.SingleDose => "made for a single dose",
        ClosedBy.OtherOpened => "another one was opened",
        ClosedBy.OpeningUnknown => "nobody knows when it was opened",
        _ => "recorded as thrown away",
    };

    private static void AddDates(StringBuilder text, CourseSnapshot course, CoursePlan plan, Policy policy)
    {
        if (plan.Refill is RefillPlan refill)
        {
            var product = course.Products[refill.ProductId];
            text.AppendLine().AppendLine("Refill");
            text.AppendLine($"  {Iso(refill.NeedInHandOn)}  needed in hand: {Iso(refill.ServesOn)} less {policy.SafetyDays} safety days");
            text.AppendLine($"  {Iso(refill.ReadyOn)}  {(refill.Handover == Handover.Ship ? $"sent, to arrive in time with {policy.TransitOpenDays} days on the way{(product.Cold ? ", cold, on a ship weekday" : string.Empty)}" : "ready for pickup: that day if open, else the open day before")}");
            text.AppendLine($"  {Iso(refill.PrepareOn)}  prepared: {product.PrepareOpenDays} open days before");
            text.AppendLine($"  {Iso(refill.ContactOn)}  patient asked: {policy.ContactOpenDays} open days before");
            if (refill.RenewOn is LocalDate renewOn)
                text.AppendLine($"  {Iso(renewOn)}  renewal asked: {policy.RenewalOpenDays} open days before, because {refill.RenewBecause}");
            if (refill.EarliestFillOn is LocalDate earliest)
                text.AppendLine($"  {Iso(earliest)}  earliest fill by the early-fill rule");
            text.AppendLine($"  To dispense: {(refill.Items.Count == 0 ? "nothing before the coming step is decided" : string.Join(", ", refill.Items.Select(item => $"{item.Containers} of {item.ProductId} (step {item.Step})")))}; lasts {refill.DaysSupply} days from {Iso(refill.ServesOn)}");
            if (refill.Supplies.Count > 0)
                text.AppendLine($"  With it: {string.Join(", ", refill.Supplies.Select(supply => $"{supply.Count} {supply.DeviceId ?? Kebab.Of(supply.Kind)}"))}");
            if (refill.LateDays > 0)
                text.AppendLine($"  {refill.LateDays} days late");
        }

        if ((plan.StepUp ?? plan.HeldBack) is not StepUpPlan check)
            return;
        text.AppendLine().AppendLine("Step-up check");
        text.AppendLine($"  {Iso(check.StartsOn)}  step {check.Step} begins{(check.Approved ? ", approved" : plan.StepUp is null ? ": held back until a pharmacist approves" : ", if a pharmacist approves")}");
        text.AppendLine($"  {Iso(check.CheckByOn)}  decided by: {policy.CheckOpenDays} open days before, or the open day before its supply is prepared");
        text.AppendLine($"  {Iso(check.AlertOn)}  first alert: {policy.AlertOpenDays} open days before");
    }

    private static string Iso(LocalDate? date) => date is LocalDate known ? NodaTime.Text.LocalDatePattern.Iso.Format(known) : "-";
}
