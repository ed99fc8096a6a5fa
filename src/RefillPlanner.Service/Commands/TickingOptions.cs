using System.Collections.Generic;
using System.CommandLine;
using System.IO;
using System.Linq;
using System.Text.Json;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Service.Commands;

/// <summary>The options of <c>due</c> by which a person says what became of tasks.</summary>
internal sealed class TickingOptions
{
    private const string ByName = "--by";

    private readonly (TaskRequestKind Kind, Option<string[]> Tasks)[] _kinds =
    [
        (TaskRequestKind.Done, Tasks("--done", "It is done.")),
        (TaskRequestKind.Waiting, Tasks("--waiting", "Somebody was asked and has not answered yet.")),
        (TaskRequestKind.Postpone, Tasks("--postpone", "It is done on another day: see --to and --because.")),
        (TaskRequestKind.Withdraw, Tasks("--withdraw", "It is not needed: see --because.")),
        (TaskRequestKind.Undo, Tasks("--undo", $"It was ticked off by mistake, less than {TaskLife.UndoMinutes} minutes ago.")),
    ];

    private readonly Option<LocalDate?> _to = SharedOptions.Date("--to", "With --postpone: the day. On a closed one the open day before it is taken.");
    private readonly Option<string?> _because = new("--because") { Description = "The reason, which is kept.", HelpName = "TEXT" };
    private readonly Option<string?> _by = new(ByName) { Description = "Name of the person.", HelpName = "NAME" };
    private readonly Option<bool> _dryRun = new("--dry-run") { Description = "Say what would become of them, and change nothing." };

    /// <summary>Adds the options to a command.</summary>
    public void AddTo(Command command)
    {
        foreach (var (_, tasks) in _kinds)
            command.Add(tasks);
        command.Add(_to);
        command.Add(_because);
        command.Add(_by);
        command.Add(_dryRun);
    }

    /// <summary>What is asked, of which tasks; null: nothing is, the list is wanted.</summary>
    /// <exception cref="CommandException">The options contradict each other, or one is missing.</exception>
    public (TaskRequest Request, IReadOnlyList<string> Named)? Find(ParseResult result)
    {
        var asked = _kinds.Where(kind => result.GetValue(kind.Tasks) is { Length: > 0 }).ToArray();
        var (by, because, to) = (result.GetValue(_by)?.Trim(), result.GetValue(_because)?.Trim(), result.GetValue(_to));
        if (asked.Length == 0)
            return by is null && because is null && to is null && !result.GetValue(_dryRun) ? null : throw new CommandException(ExitCode.Usage, $"--by, --because, --to and --dry-run go with one of {Names(_kinds)}.");
        if (asked.Length > 1)
            throw new CommandException(ExitCode.Usage, $"Give one of {Names(asked)} at a time.");
        if (string.IsNullOrEmpty(by))
            throw new CommandException(ExitCode.Usage, $"{asked[0].Tasks.Name} needs a name: give {ByName} with the person who did it.");
        if (!TextValue.Line(by, out _, out var why) || (because is not null && !TextValue.Line(because, out _, out why)))
            throw new CommandException(ExitCode.Usage, $"A name or a reason {why}.");
        if (by == TaskLife.Planner)
            throw new CommandException(ExitCode.Usage, $"{ByName} \"{by}\": that is the program's own name. Give the person's.");
        if (to is not null && asked[0].Kind != TaskRequestKind.Postpone)
            throw new CommandException(ExitCode.Usage, "--to goes with --postpone.");
        return (new TaskRequest(asked[0].Kind, by, because, to), result.GetValue(asked[0].Tasks)!);
    }

    /// <summary>Does what is asked of each task by itself, and says what became of it.</summary>
    /// <returns>One of <see cref="ExitCode"/>.</returns>
    public int Do(ParseResult result, TaskRequest request, IReadOnlyList<string> named, Desk desk, bool asJson, TextWriter output)
    {
        var ticking = new TaskTicking(desk, new PatientPlanning(desk));
        var isDryRun = result.GetValue(_dryRun);
        var outcomes = named.Select(task => (Named: task, Outcome: ticking.Do(task, request, isDryRun))).ToArray();
        if (asJson)
            output.WriteLine(JsonSerializer.Serialize(outcomes.Select(one => Row(one.Named, one.Outcome, request)), CommandJson.Options));
        foreach (var (_, outcome) in outcomes)
        {
            if (outcome.Refusal is string why)
                result.InvocationConfiguration.Error.WriteLine(why);
            else if (!asJson)
                output.WriteLine(Say(outcome.After!, request, isDryRun));
        }

        var refused = outcomes.Count(one => one.Outcome.Refusal is not null);
        return refused == 0 ? ExitCode.Done : refused == outcomes.Length ? ExitCode.BadInput : ExitCode.Refused;
    }

    private static string Say(TaskOnRecord task, TaskRequest request, bool isDryRun)
    {
        var what = $"{TaskWords.Of(task.Task.Kind, task.Task.Key)}, {task.Task.Key} ({task.Task.Key.Reference})";
        var said = request.Kind switch
        {
            TaskRequestKind.Done => $"Done: {what}, by {request.By}. To take it back within {TaskLife.UndoMinutes} minutes: refill-planner due --undo {task.Task.Key.Reference} --by NAME",
            TaskRequestKind.Waiting => $"Waiting for an answer: {what}, asked by {request.By}.",
            TaskRequestKind.Postpone => $"Put off to {DateText.Full(task.Task.DueOn)}: {what}, by {request.By}: {request.Because}",
            TaskRequestKind.Withdraw => $"Withdrawn: {what}, by {request.By}: {request.Because}",
            _ => $"Taken back, due again: {what}, by {request.By}.",
        };
        return isDryRun ? $"{said} (dry run: nothing was changed)" : said;
    }

    private static object Row(string named, TickingOutcome outcome, TaskRequest request) => new
    {
        Task = outcome.Before?.Task.Key.Text ?? named,
        Reference = outcome.Before?.Task.Key.Reference,
        Before = outcome.Before is TaskOnRecord before ? Kebab.Of(before.State) : null,
        After = outcome.After is TaskOnRecord after ? Kebab.Of(after.State) : null,
        DueOn = outcome.After?.Task.DueOn,
        request.By,
        Refused = outcome.Refusal,
    };

    private static string Names(IEnumerable<(TaskRequestKind Kind, Option<string[]> Tasks)> kinds) => string.Join(", ", kinds.Select(kind => kind.Tasks.Name));

    private static Option<string[]> Tasks(string name, string description) => new(name) { Description = description, HelpName = "TASK" };
}
