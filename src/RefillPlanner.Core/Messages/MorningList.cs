using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tasks;

namespace RefillPlanner.Core.Messages;

/// <summary>One row of the refill-due list: what to do, for whom, by when, and why.</summary>
public sealed record MorningRow
{
    /// <summary>The task's key; the message's for one that did not arrive.</summary>
    public required string Key { get; init; }

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

    /// <summary>The caution.</summary>
    public string Caution => Cautions.Staff;

    /// <summary>How many rows there are.</summary>
    public int Count => Sections.Sum(section => section.Rows.Count);

    /// <summary>Puts the list together.</summary>
    /// <param name="site">The site.</param>
    /// <param name="today">The day.</param>
    /// <param name="tasks">Its open tasks.</param>
    /// <param name="courses">Every course that a task is about, with its plan of the day.</param>
    /// <param name="patients">All patients, of every site: one may have moved to another.</param>
    /// <param name="notReached">Messages that did not reach their reader.</param>
    public static MorningList Of(
        Site site,
        LocalDate today,
        IReadOnlyList<TaskOnRecord> tasks,
        IReadOnlyDictionary<string, (CourseSnapshot Course, CoursePlan Plan)> courses,
        IReadOnlyDictionary<string, Patient> patients,
        IReadOnlyList<MessageOnRecord> notReached)
    {
        var names = patients.Values.Where(patient => patient.SiteId == site.Id).CountBy(patient => patient.Name).ToDictionary();
        var rows = tasks
            .Where(task => task.Task.DueOn <= today.PlusDays(DaysAhead) || task.State == TaskState.Waiting)
            .OrderBy(task => task.Task.DueOn).ThenBy(task => task.Task.Key.Text, StringComparer.Ordinal)
            .ToLookup(task => Place(task, today), task => Row(task, today, courses, patients[task.Task.PatientId], names));
        return new MorningList
        {
            Site = site.Name,
            On = today,
            Day = DateText.Day(today, today),
            Sections =
            [
                new("Not computed", [.. rows[0]]),
                new("Late", [.. rows[1]]),
                new("Due today", [.. rows[2]]),
                new("Next 7 days", [.. rows[3]]),
                new("Waiting for an answer", [.. rows[4]]),
                new("Could not be reached", [.. notReached.Where(message => message.Message.PatientId is not null).Select(message => Row(message, today, patients[message.Message.PatientId!], names))]),
            ],
        };
    }

    private static int Place(TaskOnRecord task, LocalDate today) => task switch
    {
        { Task.Kind: TaskKind.SupplyReview } => 0,
        { State: TaskState.Waiting } => 4,
        { State: TaskState.Overdue } or { Task.LateDays: > 0 } => 1,
        _ when task.Task.DueOn < today => 1,
        _ when task.Task.DueOn == today => 2,
        _ => 3,
    };

    private static MorningRow Row(TaskOnRecord record, LocalDate today, IReadOnlyDictionary<string, (CourseSnapshot Course, CoursePlan Plan)> courses, Patient patient, IReadOnlyDictionary<string, int> names)
    {
        var task = record.Task;
        var course = task.CourseId is string id ? courses.GetValueOrDefault(id) : default;
        return new MorningRow
        {
            Key = task.Key.Text,
            What = TaskWords.Of(task.Kind),
            Patient = Name(patient, names),
            Identifiers = Identifiers(patient),
            Phone = patient.Phone ?? "no telephone on record",
            Course = task.CourseId ?? string.Empty,
            Medicine = course.Course is null ? string.Empty : Medicine(course.Course, course.Plan),
            DueOn = task.DueOn,
            Due = DateText.Day(task.DueOn, today),
            LateDays = int.Max(task.LateDays, int.Max(0, Period.DaysBetween(task.DueOn, today))),
            Why = task.Reason,
            Findings = course.Plan is null ? [] : [.. course.Plan.Findings.Select(finding => finding.Text).Where(text => !task.Reason.Contains(text, StringComparison.Ordinal))],
        };
    }

    private static MorningRow Row(MessageOnRecord message, LocalDate today, Patient patient, IReadOnlyDictionary<string, int> names) => new()
    {
        Key = message.Message.Key.Text,
        What = "Mail did not arrive: call",
        Patient = Name(patient, names),
        Identifiers = Identifiers(patient),
        Phone = patient.Phone ?? "no telephone on record",
        Course = string.Empty,
        Medicine = string.Empty,
        DueOn = today,
        Due = DateText.Day(today, today),
        LateDays = 0,
        Why = $"{Kebab.Of(message.State)}: {message.Detail}",
    };

    private static string Name(Patient patient, IReadOnlyDictionary<string, int> names) =>
        names.GetValueOrDefault(patient.Name) > 1 ? $"{patient.Name} (same name as another patient)" : patient.Name;

    private static string Identifiers(Patient patient) =>
        patient.BornOn is LocalDate born ? $"{patient.Id}, born {DateText.Birth(born)}" : $"{patient.Id}, date of birth not on record";

    private static string Medicine(CourseSnapshot course, CoursePlan plan)
    {
        var step = course.ListLadder(plan.Supply.Ladder).First(step => step.Number == plan.Supply.Step);
        var product = course.Products[step.ProductId];
        return $"{product.Drug}, {DoseText.Doses(step.Doses, product.Unit)} every {(step.EveryDays == 1 ? "day" : $"{step.EveryDays} days")}";
    }
}
