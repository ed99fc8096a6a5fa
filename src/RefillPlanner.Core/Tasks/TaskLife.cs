using System;
using System.Collections.Frozen;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tasks;

/// <summary>The life of a task: which state may follow which. The one place where this stands (planning model, section 6).</summary>
public static class TaskLife
{
    /// <summary>Who moves a task when no person does.</summary>
    public const string Planner = "planner";

    /// <summary>Minutes within which a task that was ticked off may be taken back to due.</summary>
    public const int UndoMinutes = 10;

    /// <summary>What the audit says of a task that becomes due only to be done or asked at once.</summary>
    public const string BeforeItsDay = "before its day";

    private static readonly FrozenDictionary<TaskState, FrozenSet<TaskState>> Moves = new Dictionary<TaskState, FrozenSet<TaskState>>
    {
        [TaskState.Planned] = To(TaskState.Due, TaskState.Withdrawn),
        [TaskState.Due] = To(TaskState.Waiting, TaskState.Done, TaskState.Withdrawn, TaskState.Overdue),
        [TaskState.Waiting] = To(TaskState.Due, TaskState.Done, TaskState.Withdrawn, TaskState.Overdue),
        [TaskState.Overdue] = To(TaskState.Waiting, TaskState.Done, TaskState.Withdrawn),
        [TaskState.Done] = To(TaskState.Due),
        [TaskState.Withdrawn] = To(),
    }.ToFrozenDictionary();

    /// <summary>
    /// Whether a task may go from one state to another. Done to due is an undo: only within <see cref="UndoMinutes"/>. Besides these moves, planning
    /// takes back to planned what it had closed itself (<see cref="MayBePlannedAgain"/>).
    /// </summary>
    public static bool Allows(TaskState from, TaskState to) => Moves[from].Contains(to);

    /// <summary>The states to which a task may go from one, in the order of its life.</summary>
    public static IReadOnlyList<TaskState> ListMoves(TaskState from) => [.. Moves[from].Order()];

    /// <summary>Whether somebody still has to see to a task in this state.</summary>
    public static bool IsOpen(TaskState state) => state is not (TaskState.Done or TaskState.Withdrawn);

    /// <summary>
    /// Whether planning may plan a closed task anew: only what it closed itself, because the need was gone or met by a fact since taken back.
    /// </summary>
    public static bool MayBePlannedAgain(TaskOnRecord task) => !IsOpen(task.State) && task.ChangedBy == Planner;

    /// <summary>Returns when the move is allowed.</summary>
    /// <exception cref="InvalidOperationException">The life table has no such move.</exception>
    public static void Demand(TaskKey key, TaskState from, TaskState to)
    {
        if (!Allows(from, to))
            throw new InvalidOperationException($"Task {key}: no move from {Kebab.Of(from)} to {Kebab.Of(to)}.");
    }

    private static FrozenSet<TaskState> To(params TaskState[] states) => states.ToFrozenSet();
}
