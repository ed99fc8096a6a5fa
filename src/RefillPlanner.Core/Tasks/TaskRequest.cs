using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tasks;

/// <summary>What a person asks of a task.</summary>
public enum TaskRequestKind
{
    /// <summary>It is done.</summary>
    Done,

    /// <summary>Somebody was asked and has not answered yet.</summary>
    Waiting,

    /// <summary>It is not needed.</summary>
    Withdraw,

    /// <summary>It is done on another day.</summary>
    Postpone,

    /// <summary>It was ticked off by mistake.</summary>
    Undo,
}

/// <summary>What a person asks of a task, and who asks.</summary>
/// <param name="Kind">What.</param>
/// <param name="By">The person's name.</param>
/// <param name="Because">The reason; null: none given.</param>
/// <param name="To">The day to which it is put off; null for everything else.</param>
public sealed record TaskRequest(TaskRequestKind Kind, string By, string? Because, LocalDate? To)
{
    /// <summary>
    /// Judges a request by the life of tasks (<see cref="TaskLife"/>): undo only within <see cref="TaskLife.UndoMinutes"/>, putting off and withdrawing only
    /// with a reason, and no tick where the plan needs a fact (<see cref="ClosingFact"/>).
    /// </summary>
    /// <param name="task">The task as it stands.</param>
    /// <param name="hours">The days and hours of its site and patient.</param>
    /// <param name="now">The present instant.</param>
    public TaskAnswer Judge(TaskOnRecord task, WorkHours hours, Instant now) => Kind switch
    {
        TaskRequestKind.Done or TaskRequestKind.Withdraw => Close(task),
        TaskRequestKind.Waiting => Walk(task, task.State == TaskState.Planned ? [TaskState.Due, TaskState.Waiting] : [TaskState.Waiting]),
        TaskRequestKind.Postpone => PutOff(task, hours),
        _ => TakeBack(task, now),
    };

    private TaskAnswer Close(TaskOnRecord task)
    {
        var isDone = Kind == TaskRequestKind.Done;
        TaskState[] path = (isDone, task.State) switch
        {
            (true, TaskState.Planned) => [TaskState.Due, TaskState.Done],
            (true, _) => [TaskState.Done],
            _ => [TaskState.Withdrawn],
        };
        var walked = Walk(task, path);
        if (walked.Refusal is not null)
            return walked;
        if (ClosingFact.Find(task.Task) is string fact)
            return TaskAnswer.Refuse(isDone ? $"{Name(task)} is not ticked off: planning closes it when it is on record. {fact}" : $"{Name(task)} is not withdrawn by hand: planning does it when the need is gone. {ClosingFact.EndOfNeed(task.Task)}");
        if (Because is null && (!isDone || task.Task.Kind == TaskKind.SupplyReview))
            return TaskAnswer.Refuse($"{Name(task)}: {(isDone ? "nothing is computed for this course, and no refill is planned until that is mended. Say who looks after it and how" : "say why it is not needed")}, with --because.");
        return walked;
    }

    // Back from overdue, or from waiting, to due, on the new day.
    private TaskAnswer PutOff(TaskOnRecord task, WorkHours hours)
    {
        var walked = Walk(task, task.State switch
        {
            TaskState.Planned => [],
            TaskState.Due => [],
            TaskState.Overdue => [TaskState.Waiting, TaskState.Due],
            _ => [TaskState.Due],
        });
        if (walked.Refusal is not null)
            return walked;
        if (!TaskLife.IsOpen(task.State))
            return Refuse(task);
        if (Because is null)
            return TaskAnswer.Refuse($"{Name(task)}: a task is put off only with a reason. Give it with --because.");
        if (To is not LocalDate to)
            return TaskAnswer.Refuse($"{Name(task)}: say to which day, with --to.");
        var dueOn = hours.OpenDays.Minus(to, 0);
        if (dueOn <= hours.Today)
            return TaskAnswer.Refuse($"{Name(task)}: --to {NodaTime.Text.LocalDatePattern.Iso.Format(to)} {(to <= hours.Today ? "is not after today" : "is a closed day, and no open day lies between today and it")}. Give a later one.");
        return walked with { DueOn = dueOn, DueAt = CourseTasks.IsForPatient(task.Task) ? hours.PatientHour(dueOn) : hours.StaffHour(dueOn) };
    }

    private static TaskAnswer TakeBack(TaskOnRecord task, Instant now)
    {
        if (task.State != TaskState.Done)
            return Refuse(task);
        if (task.ChangedBy == TaskLife.Planner)
            return TaskAnswer.Refuse($"{Name(task)} was not ticked off: what is on record has met it. Where that is a mistake, take the fact back: refill-planner record {task.Task.CourseId ?? "COURSE"} void --note FACT");
        return now - task.ChangedAt > Duration.FromMinutes(TaskLife.UndoMinutes)
            ? TaskAnswer.Refuse($"{Name(task)} was ticked off by {task.ChangedBy} more than {TaskLife.UndoMinutes} minutes ago, and stays so.")
            : Walk(task, [TaskState.Due]);
    }

    private static TaskAnswer Walk(TaskOnRecord task, TaskState[] path)
    {
        var from = task.State;
        foreach (var to in path)
        {
            if (!TaskLife.Allows(from, to) || (from == TaskState.Done && path.Length > 1))
                return Refuse(task);
            from = to;
        }

        return new TaskAnswer(path, DueOn: null, DueAt: null, Refusal: null);
    }

    private static TaskAnswer Refuse(TaskOnRecord task)
    {
        var moves = string.Join(", ", TaskLife.ListMoves(task.State).Select(Kebab.Of));
        var undo = task.State == TaskState.Done ? $" (--undo, within {TaskLife.UndoMinutes} minutes)" : string.Empty;
        return TaskAnswer.Refuse($"{Name(task)} is {Kebab.Of(task.State)}, by {task.ChangedBy}. From there it may go to: {(moves.Length > 0 ? moves + undo : "nothing, it is closed")}.");
    }

    private static string Name(TaskOnRecord task) => $"{task.Task.Key} ({task.Task.Key.Reference})";
}

/// <summary>What a request comes to.</summary>
/// <param name="Moves">The states that the task goes through, in order; empty: it stays in its state.</param>
/// <param name="DueOn">The open day to which it is put off; null: it is not.</param>
/// <param name="DueAt">The hour of that day; null with <paramref name="DueOn"/>.</param>
/// <param name="Refusal">Why it is refused, and what to do; null: it is not.</param>
public sealed record TaskAnswer(IReadOnlyList<TaskState> Moves, LocalDate? DueOn, Instant? DueAt, string? Refusal)
{
    internal static TaskAnswer Refuse(string why) => new([], DueOn: null, DueAt: null, why);
}
