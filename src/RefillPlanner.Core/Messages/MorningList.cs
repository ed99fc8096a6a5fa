using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Core.Messages;

/// <summary>One row of the refill-due list: what to do, for whom, by when, and why.</summary>
public sealed record MorningRow
{
    /// <summary>The task's key; the message's for one that did not arrive.</summary>
    public required string Key { get; init; }

    /// <summary>The task's short name, by which it is ticked off; empty for a row that is no task.</summary>
    public string Reference { get; init; } = string.Empty;

    /// <summary>What to do.</summary>
    public required string What { get; init; }

    /// <summary>Name, with a warning where another patient of the site has the same.</summary>
    public required string Patient { get; init; }

    /// <summary>Id and date of birth: two identifiers.</summary>
    public required string Identifiers { get; init; }

    /// <summary>Telephone, or that none is on record.</summary>
    public required string Phone { get; init; }

    /// <summary>Course id; empty for sharps.</summary>
    public required string Course { get; init; }

    /// <summary>Drug and dose of the present step; empty for sharps.</summary>
    public required string Medicine { get; init; }

    /// <summary>The day on which it is to be done.</summary>
    public required LocalDate DueOn { get; init; }

    /// <summary>That day in words.</summary>
    public required string Due { get; init; }

    /// <summary>Days by which it is late; 0: not late.</summary>
    public required int LateDays { get; init; }

    /// <summary>One sentence with the numbers in it.</summary>
    public required string Why { get; init; }

    /// <summary>What is doubtful about the course.</summary>
    public IReadOnlyList<string> Findings { get; init; } = [];
}

/// <summary>A section of the list.</summary>
/// <param name="Title">Its heading.</param>
/// <param name="Rows">Its rows, earliest first.</param>
public sealed record MorningSection(string Title, IReadOnlyList<MorningRow> Rows);

/// <summary>The refill-due list of one site on one day.</summary>
public sealed record MorningList
{
    private const int DaysAhead = 7;

    /// <summary>The site's name.</summary>
    public required string Site { get; init; }

    /// <summary>The day.</summary>
    public required LocalDate On { get; init; }

    /// <summary>The day in words.</summary>
    public required string Day { get; init; }

    /// <summary>The sections, in the order of urgency; empty ones too.</summary>
    public required IReadOnlyList<MorningSection> Sections { get; init; }

    /// <summary>What keeps the service from sending mail, and what to do about it; stands above all rows.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];

    /// <summary>The caution.</summary>
    public string Caution => Cautions.Staff;

    /// <summary>How many rows there are.</summary>
    public int Count => Sections.Sum(section => section.Rows.Count);

    /// <summary>The last day whose tasks are on the list of a day.</summary>
    public static LocalDate Through(LocalDate today) => today.PlusDays(DaysAhead);

    /// <summary>Puts the list together.</summary>
    /// <param name="site">The site.</param>
    /// <param name="today">The day.</param>
    /// <param name="tasks">Its open tasks due by <see cref="Through"/>, and those waiting for an answer; earliest first.</param>
    /// <param name="notReached">Messages that did not reach their reader.</param>
    /// <param name="damaged">What cannot be shown, because what is on record is damaged or could not be worked out.</param>
    public static MorningList Of(Site site, LocalDate today, IReadOnlyList<ListedTask> tasks, IReadOnlyList<ListedMessage> notReached, params IReadOnlyList<ListedDamage> damaged)
    {
        // Whoever calls asks about the next supply: that is not a second row, also where the call is a row that cannot be shown.
        var called = tasks.Where(task => task.Kind == TaskKind.CannotReach).Select(task => task.Key).Concat(damaged.Select(damage => new TaskKey(damage.Key))).ToHashSet();
        var shown = tasks.Where(task => task.Kind != TaskKind.RefillContact || !called.Contains(CallTasks.ReachKey(task.Key)));
        var rows = shown.ToLookup(task => Place(task, today), task => Row(task, today));
        return new MorningList
        {
            Site = site.Name,
            On = today,
            Day = DateText.Day(today, today),
            Sections =
            [
                new("Not computed", [.. damaged.Select(damage => Row(damage, today)), .. rows[0]]),
                new("Late", [.. rows[1]]),
                new("Due today", [.. rows[2]]),
                new("Next 7 days", [.. rows[3]]),
                new("Waiting for an answer", [.. rows[4]]),
                new("Could not be reached", [.. rows[5], .. notReached.Select(message => Row(message, today))]),
            ],
        };
    }

    private static int Place(ListedTask task, LocalDate today) => task switch
    {
        { Kind: TaskKind.SupplyReview } => 0,
        { State: TaskState.Waiting } => 4,
        { Kind: TaskKind.CannotReach } when task.LateDays(today) > 0 || task.DueOn <= today => 5,
        { State: TaskState.Overdue } => 1,
        _ when task.LateDays(today) > 0 => 1,
        _ when task.DueOn == today => 2,
        _ => 3,
    };

    private static MorningRow Row(ListedTask task, LocalDate today) => new()
    {
        Key = task.Key.Text,
        Reference = task.Key.Reference,
        What = TaskWords.Of(task.Kind, task.Key),
        Patient = task.Patient.NameText,
        Identifiers = task.Patient.Identifiers,
        Phone = task.Patient.PhoneText,
        Course = task.CourseId ?? string.Empty,
        Medicine = task.Course?.Medicine ?? string.Empty,
        DueOn = task.DueOn,
        Due = DateText.Day(task.DueOn, today),
        LateDays = task.LateDays(today),
        Why = Why(task, today),
        Findings = task.Course is CourseLine course ? [.. course.ListFindings().Where(text => !task.Reason.Contains(text, StringComparison.Ordinal))] : [],
    };

    private static string Why(ListedTask task, LocalDate today)
    {
        IReadOnlyList<string> said = task.Kind is TaskKind.Prepare or TaskKind.HandOver or TaskKind.Ship && task.Course is CourseLine course ? course.ListWhenHandedOver() : [];
        string[] postponed = task.PostponedBecause is string because ? [$"Put off to {DateText.Day(task.DueOn, today)}: {because}"] : [];
        return string.Join(' ', [task.Reason, .. said, .. postponed]);
    }

    private static MorningRow Row(ListedDamage damage, LocalDate today) => new()
    {
        Key = damage.Key,
        What = "Cannot be shown: look it up on paper, and tell who runs this service",
        Patient = damage.Patient?.NameText ?? (damage.PatientId.Length > 0 ? $"patient {damage.PatientId}" : "no patient known"),
        Identifiers = damage.Patient?.Identifiers ?? damage.Key,
        Phone = damage.Patient?.PhoneText ?? "no telephone known",
        Course = damage.CourseId,
        Medicine = string.Empty,
        DueOn = today,
        Due = DateText.Day(today, today),
        LateDays = 0,
        Why = damage.Why,
    };

    private static MorningRow Row(ListedMessage message, LocalDate today) => new()
    {
        Key = message.Key.Text,
        What = "Could not be reached: call",
        Patient = message.Patient?.NameText ?? "no patient",
        Identifiers = message.Patient?.Identifiers ?? message.Key.Text,
        Phone = message.Patient?.PhoneText ?? string.Empty,
        Course = string.Empty,
        Medicine = string.Empty,
        DueOn = today,
        Due = DateText.Day(today, today),
        LateDays = 0,
        Why = $"{Kebab.Of(message.State)}: {message.Detail}",
    };
}
