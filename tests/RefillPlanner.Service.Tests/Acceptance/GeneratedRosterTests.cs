using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.IO;
using System.Linq;
using System.Text.Json;
using System.Threading.Tasks;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Supply;
using RefillPlanner.Core.Tests.Literal;
using RefillPlanner.Service.Commands;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Acceptance;

/// <summary>A generated roster of 5,000 courses through the commands, as a user would: in, out as JSON, in again.</summary>
public sealed class GeneratedRosterTests
{
    private static readonly string[] Fields =
    [
        "course", "as_of", "outcome", "ladder", "step", "doses", "unit", "draws", "run_out_on", "run_out_if_held_on", "ends_on", "last_covered_on", "doses_covered",
        "used_ml", "lost_ml", "discarded_ml", "left_over_ml", "containers_opened", "binding_limit", "refill", "step_up", "findings", "days_covered_percent",
    ];

    private static readonly string[] RefillFields =
        ["need_in_hand_on", "ready_on", "prepare_on", "contact_on", "renew_on", "earliest_fill_on", "late_days", "days_supply", "items", "supplies"];

    private static readonly string[] StepUpFields = ["step", "starts_on", "check_by_on", "alert_on", "approved"];

    [Fact]
    public async Task Five_thousand_courses_agree_with_the_literal_walk_and_import_twice_as_once()
    {
        var folder = Directory.CreateTempSubdirectory("refill-planner-roster-");
        var roster = Path.Combine(folder.FullName, "roster");
        var state = Path.Combine(folder.FullName, "state");
        Generate("--courses", "5000", "--seed", "7", "--today", "2026-03-02", "--out", roster);

        var (code, text) = await RunAsync("import", roster, "--data", state);
        Assert.True(code == ExitCode.Done, text);
        Assert.Contains("courses.csv: 5000 new, 0 updated, 0 unchanged, 0 refused", text, StringComparison.Ordinal);
        (code, text) = await RunAsync("import", roster, "--data", state);
        Assert.Equal(ExitCode.Done, code);
        Assert.All(text.Split('\n').Where(line => line.Contains(".csv:", StringComparison.Ordinal)), line => Assert.Contains(": 0 new, 0 updated", line, StringComparison.Ordinal));

        (code, text) = await RunAsync("project", "--json", "--as-of", "2026-03-02", "--data", state);
        Assert.Equal(ExitCode.Done, code);
        using var json = JsonDocument.Parse(text);
        var projections = json.RootElement.EnumerateArray().ToDictionary(course => course.GetProperty("course").GetString()!);
        Assert.Equal(5000, projections.Count);
        Assert.Equal(projections.Keys.Order(StringComparer.Ordinal), json.RootElement.EnumerateArray().Select(course => course.GetProperty("course").GetString()));
        CompareWithTheLiteralWalk(state, projections);
        folder.Delete(recursive: true);
    }

    [Fact]
    public async Task Forty_faults_are_forty_refusals_each_with_its_place_and_reason_and_the_good_rows_are_in()
    {
        var folder = Directory.CreateTempSubdirectory("refill-planner-roster-");
        var roster = Path.Combine(folder.FullName, "roster");
        var state = Path.Combine(folder.FullName, "state");
        Generate("--courses", "100", "--faults", "40", "--out", roster);
        var expected = (await File.ReadAllLinesAsync(Path.Combine(folder.FullName, "faults.csv"), TestContext.Current.CancellationToken)).Skip(1).Select(line => string.Join(':', line.Split(',').Take(2))).Order(StringComparer.Ordinal);

        var (code, text) = await RunAsync("import", roster, "--data", state);
        Assert.Equal(ExitCode.Refused, code);
        var refused = text.Split('\n').Where(line => line.StartsWith("refused ", StringComparison.Ordinal)).ToArray();
        Assert.Equal(40, refused.Length);
        Assert.Equal(40, refused.Distinct().Count());
        Assert.Equal(expected, refused.Select(line => string.Join(':', line["refused ".Length..].Split(' ', ',')[0].Split(':').Take(2))).Order(StringComparer.Ordinal));
        (_, text) = await RunAsync("project", "--json", "--as-of", "2026-03-02", "--data", state);
        using var json = JsonDocument.Parse(text);
        Assert.True(json.RootElement.GetArrayLength() >= 100);
        folder.Delete(recursive: true);
    }

    private static void CompareWithTheLiteralWalk(string state, Dictionary<string, JsonElement> projections)
    {
        var asOf = new LocalDate(2026, 3, 2);
        using var database = PlannerDatabase.Open(Path.Combine(state, "refill-planner.db"), Instant.FromUtc(2026, 3, 2, 12, 0));
        using var reading = database.Read();
        var courses = reading.Snapshots.List().SelectMany(patient => patient.Courses).ToArray();
        Parallel.ForEach(courses, course =>
        {
            var expected = LiteralWalk.Of(course, Policy.Default, asOf);
            var actual = projections[course.Course.Id];
            Assert.Equal(Fields, actual.EnumerateObject().Select(field => field.Name));
            if (actual.GetProperty("refill") is { ValueKind: JsonValueKind.Object } refill)
                Assert.Equal(RefillFields, refill.EnumerateObject().Select(field => field.Name));
            if (actual.GetProperty("step_up") is { ValueKind: JsonValueKind.Object } stepUp)
                Assert.Equal(StepUpFields, stepUp.EnumerateObject().Select(field => field.Name));
            Assert.Equal(Told(expected), Told(actual));
            Assert.Superset(expected.Findings.Select(finding => finding.Code).ToHashSet(), new HashSet<string>(actual.GetProperty("findings").EnumerateArray().Select(finding => finding.GetProperty("code").GetString()!)));
        });
    }

    private static string Told(SupplyOutcome outcome) => string.Join(
        ' ',
        Kebab.Of(outcome.Outcome), outcome.Ladder, outcome.Step, Iso(outcome.RunOutOn), Iso(outcome.RunOutIfHeldOn), Iso(outcome.EndsOn), Iso(outcome.LastCoveredOn), outcome.DosesCovered,
        outcome.Used, outcome.Lost, outcome.Discarded, outcome.LeftOver, outcome.ContainersOpened, outcome.BindingLimit is { } limit ? Kebab.Of(limit) : "-",
        string.Join(';', outcome.Draws.Select(draw => $"{draw.Injections}:{string.Join('+', draw.Marks)}:{(draw.MarksUnits is null ? "-" : string.Join('+', draw.MarksUnits.Select(Exact.Plain)))}:{Exact.Plain(draw.Delivered)}:{Exact.Plain(draw.ErrorPercent)}")));

    private static string Told(JsonElement course)
    {
        string Text(string field) => course.GetProperty(field) is { ValueKind: JsonValueKind.Null } ? "-" : course.GetProperty(field).ToString();
        return string.Join(
            ' ',
            new[] { "outcome", "ladder", "step", "run_out_on", "run_out_if_held_on", "ends_on", "last_covered_on", "doses_covered", "used_ml", "lost_ml", "discarded_ml", "left_over_ml", "containers_opened", "binding_limit" }.Select(Text)
                .Append(string.Join(';', course.GetProperty("draws").EnumerateArray().Select(draw =>
                    $"{draw.GetProperty("injections")}:{List(draw.GetProperty("marks_ml"))}:{List(draw.GetProperty("marks_units"))}:{draw.GetProperty("delivered")}:{draw.GetProperty("error_percent")}"))));
    }

    private static string List(JsonElement list) => list.ValueKind == JsonValueKind.Null ? "-" : string.Join('+', list.EnumerateArray().Select(item => item.GetString()));

    private static string Iso(LocalDate? date) => date is LocalDate known ? LocalDatePattern.Iso.Format(known) : "-";

    private static async Task<(int Code, string Text)> RunAsync(params string[] args)
    {
        using var output = new StringWriter();
        var code = await CommandLine.RunAsync(args, output, output, TimeProvider.System);
        return (code, output.ToString());
    }

    /// <summary>Writes a roster with the generator.</summary>
    internal static void Generate(params string[] args)
    {
        var program = typeof(GeneratedRosterTests).Assembly.Location.Replace("RefillPlanner.Service.Tests.dll", "RefillPlanner.Roster.dll", StringComparison.Ordinal);
        using var process = Process.Start(new ProcessStartInfo("dotnet", [program, .. args]) { UseShellExecute = false })!;
        process.WaitForExit();
        Assert.Equal(0, process.ExitCode);
    }
}
