using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Text.Json;
using System.Threading.Tasks;
using RefillPlanner.Service.Commands;

namespace RefillPlanner.Service.Tests.Storage;

/// <summary>What a command said of a state folder.</summary>
/// <param name="Code">With what it ended.</param>
/// <param name="Output">What it printed.</param>
/// <param name="Errors">What it complained of.</param>
internal sealed record Answer(int Code, string Output, string Errors)
{
    /// <summary>Whether it refused as a whole: with a sentence, and nothing printed.</summary>
    public bool IsRefusal => Code is ExitCode.Away or ExitCode.CannotWrite && Output.Length == 0 && Errors.Trim().Length > 0;

    public static async Task<Answer> OfAsync(params string[] args)
    {
        using var output = new StringWriter();
        using var errors = new StringWriter();
        int code;
        try
        {
            code = await CommandLine.RunAsync(args, output, errors, TimeProvider.System);
        }
        catch (Exception failure)
        {
            // As the program ends then.
            code = ExitCode.Internal;
            await errors.WriteLineAsync(failure.ToString());
        }

        return new Answer(code, output.ToString(), errors.ToString());
    }
}

/// <summary>All that <c>project</c> and <c>due</c> tell of a state folder on a day.</summary>
/// <param name="Projection">What <c>project --json</c> said.</param>
/// <param name="List">What <c>due --json</c> said.</param>
internal sealed record Told(Answer Projection, Answer List)
{
    public const string Day = "2026-03-02";

    // How a row of the list begins that stands for something that cannot be shown.
    private const string NotShown = "Cannot be shown";

    public static async Task<Told> OfAsync(string folder) => new(
        await Answer.OfAsync("project", "--json", "--as-of", Day, "--data", folder),
        await Answer.OfAsync("due", "--json", "--today", Day, "--data", folder));

    /// <summary>What is wrong about this, if that is the truth: anything else than the truth that is not said to be damaged; empty: nothing.</summary>
    /// <param name="truth">What was told of the undamaged file.</param>
    /// <param name="patientOfCourse">Whose course is whose.</param>
    public IEnumerable<string> ListWrong(Told truth, IReadOnlyDictionary<string, string> patientOfCourse) =>
        ListWrongCourses(truth, patientOfCourse).Concat(ListWrongRows(truth));

    private IEnumerable<string> ListWrongCourses(Told truth, IReadOnlyDictionary<string, string> patientOfCourse)
    {
        if (Projection.IsRefusal)
            yield break;
        if (Projection.Code is not (ExitCode.Done or ExitCode.Refused))
        {
            yield return $"project ended with {Projection.Code}: {Projection.Output} {Projection.Errors}";
            yield break;
        }

        var (shown, right) = (Courses(Projection.Output), Courses(truth.Projection.Output));
        foreach (var (id, text) in shown.Where(course => right.GetValueOrDefault(course.Key) != course.Value))
            yield return $"course {id} is told as {text} and is {right.GetValueOrDefault(id, "not there")}";
        foreach (var id in right.Keys.Except(shown.Keys).Where(id => !Projection.Errors.Contains($"Patient {patientOfCourse[id]} is not computed", StringComparison.Ordinal)))
            yield return $"course {id} is passed over without a word";
        if (shown.Count < right.Count != (Projection.Code == ExitCode.Refused))
            yield return $"project ended with {Projection.Code}, having told {shown.Count} of {right.Count} courses; {Projection.Errors}";
    }

    private IEnumerable<string> ListWrongRows(Told truth)
    {
        if (List.IsRefusal)
            yield break;
        if (List.Code is not (ExitCode.Done or ExitCode.Refused))
        {
            yield return $"due ended with {List.Code}: {List.Output} {List.Errors}";
            yield break;
        }

        var (shown, right) = (Rows(List.Output), Rows(truth.List.Output));
        var said = string.Join('\n', shown.Where(IsNotShown).Select(row => row.Text));
        foreach (var row in shown.Where(row => !IsNotShown(row) && !right.Contains(row) && !IsBehindCall(row, right)))
            yield return $"a row is told as {row.Text}, which is none of the list";
        foreach (var row in right.Except(shown).Where(row => !row.IsOfMessage && !row.Names.Any(name => said.Contains(name, StringComparison.Ordinal))))
            yield return $"the row {row.Text} is passed over without a word; said: {said}";
    }

    // Asking about the next supply stands behind the call that asks for it: where the call's own key is damaged, it is told, and is true.
    private static bool IsBehindCall(ListRow row, ListRow[] right) => row.Names[0].Split('/') is ["refill-contact", .. var need] && Array.Exists(right, other => other.Names[0] == $"cannot-reach/{string.Join('/', need)}");

    // Also a message whose record is damaged, or its patient's.
    private static bool IsNotShown(ListRow row) =>
        row.Text.Contains(NotShown, StringComparison.Ordinal) || (row.IsOfMessage && (row.Text.Contains("damaged on disk", StringComparison.Ordinal) || row.Text.Contains("no patient", StringComparison.Ordinal)));

    private static Dictionary<string, string> Courses(string json)
    {
        using var parsed = JsonDocument.Parse(json);
        return parsed.RootElement.EnumerateArray().ToDictionary(course => course.GetProperty("course").GetString()!, course => course.GetRawText());
    }

    private static ListRow[] Rows(string json)
    {
        using var parsed = JsonDocument.Parse(json);
        return [.. parsed.RootElement.EnumerateArray().SelectMany(list => list.GetProperty("sections").EnumerateArray(), (list, section) => (List: list, Section: section))
            .SelectMany(pair => pair.Section.GetProperty("rows").EnumerateArray(), (pair, row) => new ListRow($"{pair.List.GetProperty("site").GetString()} {pair.Section.GetProperty("title").GetString()} {row.GetRawText()}")
            {
                // That a message is missing from an index is found by the check of the whole file, not by the list.
                IsOfMessage = pair.Section.GetProperty("title").GetString() == "Could not be reached",
                Names =
                [
                    row.GetProperty("key").GetString()!,
                    row.GetProperty("identifiers").GetString()!.Split(',')[0],
                    .. row.GetProperty("course").GetString() is { Length: > 0 } course ? new[] { course } : [],
                    row.GetProperty("due_on").GetString()!,
                ],
            })];
    }

    private sealed record ListRow(string Text)
    {
        public required bool IsOfMessage { get; init; }

        public required IReadOnlyList<string> Names { get; init; }

        public bool Equals(ListRow? other) => other?.Text == Text;

        public override int GetHashCode() => Text.GetHashCode(StringComparison.Ordinal);
    }
}
