using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Core.Messages;

/// <summary>What staff are to do, in words.</summary>
public static class TaskWords
{
    /// <summary>The words of a task.</summary>
    public static string Of(TaskKind kind, TaskKey key) => SharpsTasks.IsReplaced(key) ? "Sharps container replaced: ask for the old one" : Of(kind);

    /// <summary>The words of a kind of task.</summary>
    public static string Of(TaskKind kind) => kind switch
    {
        TaskKind.RefillContact => "Ask about the next supply",
        TaskKind.Prepare => "Prepare",
        TaskKind.HandOver => "Hand over",
        TaskKind.Ship => "Ship",
        TaskKind.RenewalRequest => "Ask for a renewal",
        TaskKind.StepUpCheck => "Pharmacist: check the step-up",
        TaskKind.MissedDoseCheck => "Pharmacist: doses not given",
        TaskKind.SupplyReview => "Review: nothing computed",
        TaskKind.DiscardNotice => "Container ends",
        TaskKind.SharpsReturn => "Sharps container nearly full",
        TaskKind.SharpsOverdue => "Sharps container overdue",
        TaskKind.CannotReach => "Could not be reached: call",
        TaskKind.ArrivalCheck => "Did it arrive? Call",
        TaskKind.RecallCall => "Recall: call",
        _ => throw new System.ArgumentOutOfRangeException(nameof(kind), kind, "Unknown kind of task."),
    };
}
