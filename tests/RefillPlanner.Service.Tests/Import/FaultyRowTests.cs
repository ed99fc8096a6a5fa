using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Service.Import;
using Xunit;

namespace RefillPlanner.Service.Tests.Import;

public sealed class FaultyRowTests
{
    public static TheoryData<string, string, string, string, string> Faults => FaultyRows.All;

    public static TheoryData<string> Templates => [.. TestRoster.Templates.Keys];

    [Theory]
    [MemberData(nameof(Templates))]
    public void Every_template_comes_through_unspoilt(string template)
    {
        var roster = new TestRoster().With(template);
        if (template == "course")
            roster.With("step", "course_id=C-9|ladder=");

        Assert.Empty(roster.Judge().Refusals);
    }

    [Theory]
    [MemberData(nameof(Faults))]
    public void A_faulty_row_is_refused_with_its_place_and_reason(string template, string change, string column, string value, string reason)
    {
        var roster = new TestRoster().With(template, change);
        var file = TestRoster.Templates[template].File;
        var line = roster.LastLine(file);

        var refusal = roster.Judge().Refusals.Single(refused => refused.File == file && refused.Line == line);

        Assert.Equal((file, line, column, value), (refusal.File, refusal.Line, refusal.Column, refusal.Value));
        Assert.Contains(reason, refusal.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_roster_with_forty_faults_gives_forty_refusals_and_every_good_row_goes_in()
    {
        var roster = new TestRoster();
        var lines = new List<(string File, int Line)>();
        var chosen = Faults.Select(row => row.Data)
            .Where(fault => !TestRoster.Templates[fault.Item1].File.StartsWith("steps", StringComparison.Ordinal) && !fault.Item2.StartsWith(fault.Item3 + "= ", StringComparison.Ordinal) && !fault.Item2.Contains('\n'))
            .Where((_, index) => index % 2 == 0)
            .Take(40)
            .ToList();
        for (var i = 0; i < chosen.Count; i++)
        {
            var (template, change, _, _, _) = chosen[i];
            roster.With(template, change, change.StartsWith("size_of=V-8", StringComparison.Ordinal) ? null : $"bad-{i}");
            lines.Add((TestRoster.Templates[template].File, roster.LastLine(TestRoster.Templates[template].File)));
        }

        var judged = roster.With("patient").With("missed").Judge();

        Assert.Equal(40, chosen.Count);
        Assert.Equal(lines.Order(), judged.Refusals.Select(refusal => (refusal.File, refusal.Line)).Order());
        Assert.Equal((1, 2, 3, 1, 3, 4, 1, 4, 1), (
            judged.Sites.Count, judged.Patients.Count, judged.Products.Count, judged.Devices.Count, judged.Courses.Count,
            judged.Steps.Count, judged.Prescriptions.Count, judged.Facts.Count, judged.Sharps.Count));
        Assert.Equal(40, judged.Counts.Sum(count => count.Refused));
    }

    [Fact]
    public void A_row_with_two_faults_is_refused_once_for_the_first_column()
    {
        var refusal = Assert.Single(new TestRoster().With("vial", "volume_ml=x|kind=y").Judge().Refusals);

        Assert.Equal("kind", refusal.Column);
    }
}
