using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tasks;

/// <summary>
/// The tasks whose end the plan must know as a fact: a tick in its place would leave the arithmetic, or the next need, on something that did not happen.
/// </summary>
public static class ClosingFact
{
    /// <summary>What to record instead of a tick; null: a person's word is enough.</summary>
    public static string? Find(PlannedTask task) => task.Kind switch
    {
        TaskKind.RefillContact => $"Record the answer: refill-planner record {task.CourseId} answered --note yes (or no, or later). Asked and not answered yet is --waiting.",
        TaskKind.Prepare => $"Record what was made up: refill-planner record {task.CourseId} prepared --product-id ID --containers N --expires-on DATE --lot LOT",
        TaskKind.HandOver => $"Record what was handed over: refill-planner record {task.CourseId} dispensed --product-id ID --containers N --expires-on DATE --lot LOT --days-supply N",
        TaskKind.Ship => $"Record what was sent, with the day on which it is to arrive: refill-planner record {task.CourseId} dispensed --product-id ID --containers N --expires-on DATE --lot LOT --days-supply N --until DATE",
        TaskKind.RenewalRequest => "Import the new prescription: a row of prescriptions.csv. Asked and not answered yet is --waiting.",
        TaskKind.StepUpCheck => $"A pharmacist decides: refill-planner sign {task.CourseId} approve --by NAME, or: refill-planner sign {task.CourseId} hold --until DATE --by NAME",
        TaskKind.ArrivalCheck => $"Record that it came: refill-planner record {task.CourseId} received --note \"{task.Key.Cycle}\". If it never will, take the fill back: refill-planner record {task.CourseId} void --note \"{task.Key.Cycle}\"",
        TaskKind.SharpsReturn when SharpsTasks.IsReplacement(task) => "Import the container that was handed out: a row of sharps.csv, with what it holds.",
        _ => null,
    };

    /// <summary>What to record when the need of such a task is gone.</summary>
    public static string EndOfNeed(PlannedTask task) => task.Kind switch
    {
        TaskKind.RefillContact or TaskKind.Prepare or TaskKind.HandOver or TaskKind.Ship or TaskKind.RenewalRequest =>
            $"When the patient wants none: refill-planner record {task.CourseId} answered --note no. When the treatment has stopped: refill-planner record {task.CourseId} ended",
        _ => Find(task) ?? string.Empty,
    };
}
