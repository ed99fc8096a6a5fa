using System.Collections.Generic;
using System.Linq;
using System.Text;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Service.Work;

/// <summary>Proposals in words: they are shown, and a person applies them by recording fills.</summary>
public static class ProposalText
{
    /// <summary>A proposal to align.</summary>
    public static string Of(AlignmentProposal proposal)
    {
        var text = new StringBuilder();
        text.AppendLine($"Common hand-over on {DateText.Full(proposal.HandOverOn)}: the first of these courses needs its supply in hand by {DateText.Full(proposal.NeedInHandOn)}. The next common day is {DateText.Full(proposal.NextOn)}.");
        foreach (var fill in proposal.Fills)
        {
            text.AppendLine($"  {fill.CourseId}: {(fill.Items.Count == 0 ? $"nothing is needed, lasts until {DateText.Full(fill.LastsUntil)}" : $"{Items(fill.Items)}; runs out on {DateText.Full(fill.RunOutOn)} without it, on {DateText.Full(fill.LastsUntil)} with it")}."
                + (fill.IsAllowed ? string.Empty : $" The early-fill rule opens on {DateText.Full(fill.EarliestFillOn!.Value)} only: a person decides.")
                + (fill.Reaches ? string.Empty : " It does not reach the next common day: an undecided step or a beyond-use date ends it before."));
        }

        foreach (var course in proposal.LeftOut)
            text.AppendLine($"  {course}: left out, it has no refill to plan.");
        text.AppendLine("This is a proposal, and nothing is changed. To apply it record each fill when it is handed over: refill-planner record COURSE dispensed --product-id ID --containers N");
        return text.AppendLine(Cautions.Staff).ToString();
    }

    /// <summary>What is needed before a journey.</summary>
    /// <param name="courseId">The course.</param>
    /// <param name="plan">The plan.</param>
    /// <param name="from">First day away.</param>
    /// <param name="until">First day back.</param>
    public static string Of(string courseId, TravelPlan plan, LocalDate from, LocalDate until)
    {
        var text = new StringBuilder();
        text.AppendLine($"Course {courseId}, away from {DateText.Full(from)}, back on {DateText.Full(until)} ({Period.DaysBetween(from, until)} days)");
        if (plan.WantedOn is not LocalDate wantedOn)
        {
            text.AppendLine(plan.RunOutOn is LocalDate runOutOn ? $"What is in hand lasts until {DateText.Full(runOutOn)}: no refill is needed before the journey." : "No run-out is in sight: no refill is needed before the journey.");
        }
        else
        {
            text.AppendLine($"A refill for {plan.FillDays} days is wanted by {DateText.Full(wantedOn)}{Ago(plan.WantedDaysAgo)}: {(plan.Items.Count == 0 ? "nothing before the coming step is decided" : Items(plan.Items))}; it lasts until {DateText.Full(plan.LastsUntil!.Value)}.");
            text.AppendLine(plan.EarliestFillOn is not LocalDate earliest ? "No billed fill is on record: the early-fill rule says nothing."
                : plan.IsAllowed ? $"The early-fill rule allows it from {DateText.Full(earliest)}."
                : $"The early-fill rule allows it from {DateText.Full(earliest)} only. Travel may justify an override: a person decides.");
        }

        return text.AppendLine(Cautions.Staff).ToString();
    }

    private static string Ago(int days) => days == 0 ? string.Empty : $" (that was {(days == 1 ? "yesterday" : $"{days} days ago")}: hand it over as soon as it can be)";

    private static string Items(IReadOnlyList<RefillItem> items) => string.Join(" and ", items.Select(item => $"{item.Containers} of {item.ProductId} (step {item.Step})"));
}
