using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Core.Messages;

/// <summary>What happened in the present step, in the words of the alert: doses not given, the last count, the fills.</summary>
internal static class AlertHistory
{
    private const int MostDates = 10;
    private const int MostFills = 3;

    /// <summary>Doses missed, paused and without stock in the present step, with their dates.</summary>
    public static string DescribeNotGiven(IReadOnlyList<Fact> facts, CoursePlan plan)
    {
        var today = plan.AsOf;
        bool IsInStep(Fact fact) => fact.On < today && (plan.PresentSince is not LocalDate since || fact.On >= since);
        var missed = facts.Where(fact => fact.Kind == FactKind.Missed && IsInStep(fact)).Select(fact => fact.On).Distinct().ToArray();
        var paused = facts.Where(fact => fact.Kind == FactKind.Paused && IsInStep(fact)).Select(fact => fact.Until is LocalDate until
            ? $"from {DateText.Day(fact.On, today)} to the day before {DateText.Day(until, today)}"
            : $"from {DateText.Day(fact.On, today)}, no end on record").ToArray();
        var without = plan.Findings.FirstOrDefault(finding => finding.Code == FindingCode.DoseWithoutStock)?.Text;
        return string.Join(" ", (string[])[
            missed.Length == 0 ? "None missed in this step." : $"Missed in this step: {Dates(missed, today)}.",
            paused.Length == 0 ? "No pause begun in it." : $"Paused: {string.Join("; ", paused)}.",
            without ?? "None without stock on record.",
            .. plan.Surpluses.Select(surplus => surplus.Text),
        ]);
    }

    /// <summary>How long the present dose has been given.</summary>
    public static string DescribeOnPresentDose(CoursePlan plan) => plan.PresentSince is LocalDate since
        ? $"since {DateText.Day(since, plan.AsOf)}, {DoseText.Number(Period.DaysBetween(since, plan.AsOf))} days"
        : "not begun";

    /// <summary>Date and result of the last count.</summary>
    public static string DescribeLastCount(IReadOnlyList<Fact> facts, LocalDate today) =>
        facts.LastOrDefault(fact => fact.Kind == FactKind.Counted) is Fact count
            ? $"{DateText.Day(count.On, today)}: {count.Containers} sealed, {DoseText.Volume(count.Volume ?? Volume.Zero)} in the open one"
            : "never counted";

    /// <summary>
    /// The last fills, newest first, each with how many days it came after the supply billed before it had ended, or before.
    /// </summary>
    public static IReadOnlyList<string> ListFills(IReadOnlyList<Fact> facts, LocalDate today)
    {
        var fills = facts.Where(fact => fact.Kind == FactKind.Dispensed).ToArray();
        return [.. fills.Select((fill, index) => $"{DateText.Day(fill.On, today)}, {fill.Containers} of {fill.ProductId}{Timing(fill, index > 0 ? fills[index - 1] : null)}").Reverse().Take(MostFills)];
    }

    private static string Timing(Fact fill, Fact? before)
    {
        if (before?.DaysSupply is not int days)
            return string.Empty;
        var late = Period.DaysBetween(before.On.PlusDays(days), fill.On);
        return late switch
        {
            0 => ", on the day when the supply billed before it ended",
            > 0 => $", {DoseText.Number(late)} days late: the {DoseText.Number(days)} days billed before it had ended",
            _ => $", {DoseText.Number(-late)} days early: the {DoseText.Number(days)} days billed before it had not ended",
        };
    }

    private static string Dates(IReadOnlyList<LocalDate> dates, LocalDate today)
    {
        var said = string.Join("; ", dates.TakeLast(MostDates).Select(date => DateText.Day(date, today)));
        return dates.Count > MostDates ? $"{dates.Count} dosing days, the last {MostDates} of them {said}" : said;
    }
}
