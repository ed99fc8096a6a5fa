using System;
using System.Linq;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>Outcomes and courses in words, for comparing and for showing what failed.</summary>
internal static class Told
{
    internal static string Fields(SupplyOutcome outcome) => string.Join(
        ' ',
        $"{outcome.Outcome} ladder={outcome.Ladder} step={outcome.Step} runOut={outcome.RunOutOn:uuuu-MM-dd} held={outcome.RunOutIfHeldOn:uuuu-MM-dd} ends={outcome.EndsOn:uuuu-MM-dd}",
        $"last={outcome.LastCoveredOn:uuuu-MM-dd} doses={outcome.DosesCovered} used={outcome.Used} lost={outcome.Lost} discarded={outcome.Discarded} left={outcome.LeftOver}",
        $"opened={outcome.ContainersOpened} limit={outcome.BindingLimit}",
        string.Join(';', outcome.Draws.Select(Draw)),
        string.Join(',', outcome.Findings.Select(finding => finding.Code).Distinct().Order(StringComparer.Ordinal)));

    internal static string Describe(CourseSnapshot course, Policy policy) => string.Join(
        '\n',
        [
            $"started {course.Course.StartedOn:uuuu-MM-dd} expelled {course.Course.Expelled} device {course.Course.DeviceId} horizon {policy.HorizonDays} split {policy.SplitDraws}",
            .. course.Products.Values.Select(product => $"{product.Id} {product.Kind} {product.Unit} {product.Strength} vol {product.Volume} dose {product.DoseAmount} inuse {product.InUseDays} {product.InUseCount} dial {product.DialStep}/{product.DialMax} prime {product.Prime}/{product.FirstPrime} of {product.SizeOf} max {product.MaxDose} min {product.MinEveryDays}"),
            .. course.Steps.Select(step => $"L{step.Ladder} step {step.Number} {step.ProductId} [{string.Join(';', step.Doses)}] every {step.EveryDays} for {step.DoseDays} check {step.NeedsCheck} device {step.DeviceId} expelled {step.Expelled}"),
            .. course.Facts.OrderBy(fact => fact.On).ThenBy(fact => fact.Id, StringComparer.Ordinal).Select(fact => $"{fact.On:uuuu-MM-dd} {fact.Id} {fact.Kind} {fact.ProductId} n={fact.Containers} v={fact.Volume} exp={fact.ExpiresOn:uuuu-MM-dd} lot={fact.Lot} until={fact.Until:uuuu-MM-dd} opened={fact.OpenedOn:uuuu-MM-dd} step={fact.Step} note={fact.Note}"),
        ]);

    private static string Draw(Draw draw) =>
        $"{draw.Injections}x[{string.Join('+', draw.Marks)}|{(draw.MarksUnits is null ? "-" : string.Join('+', draw.MarksUnits.Select(Exact.Plain)))}|{draw.Delivered}|{draw.ErrorPercent}]";
}
