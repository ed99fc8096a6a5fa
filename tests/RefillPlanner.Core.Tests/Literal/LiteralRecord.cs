using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Tests.Literal;

/// <summary>A ladder in force from a day on. Its days end before <see cref="EndsBefore"/> (the next run or the end of the course).</summary>
internal sealed record LadderRun(int Ladder, LocalDate StartsOn, LocalDate? EndsBefore, IReadOnlyList<Step> Steps);

/// <summary>The facts that hold on the as-of date: voided and later ones are left out.</summary>
internal sealed class LiteralRecord
{
    public LiteralRecord(CourseSnapshot course, LocalDate asOf)
    {
        Course = course;
        AsOf = asOf;
        var known = course.Facts.DistinctBy(fact => fact.Id).Where(fact => fact.On <= asOf || IsAhead(fact.Kind)).ToList();
        var voids = known.Where(fact => fact.Kind == FactKind.Void).Select(fact => fact.Note).ToList();
        Facts = [.. known.Where(fact => fact.Kind != FactKind.Void && !voids.Contains(fact.Id))
            .OrderBy(fact => fact.On).ThenBy(fact => fact.Id, StringComparer.Ordinal)];
        EndedOn = Of(FactKind.Ended).Select(fact => (LocalDate?)fact.On).FirstOrDefault();
        Runs = ListRuns();
        MissedOn = [.. Of(FactKind.Missed).Select(fact => fact.On)];
        foreach (var pause in Of(FactKind.Paused))
        {
            var until = pause.Until ?? Of(FactKind.Resumed).Where(fact => fact.On >= pause.On).Select(fact => (LocalDate?)fact.On).FirstOrDefault();
            Pauses.Add((pause.On, until));
        }
    }

    public CourseSnapshot Course { get; }

    public LocalDate AsOf { get; }

    /// <summary>By date, then by id.</summary>
    public IReadOnlyList<Fact> Facts { get; }

    public LocalDate? EndedOn { get; }

    public IReadOnlyList<LadderRun> Runs { get; }

    public IReadOnlyList<LocalDate> MissedOn { get; }

    public List<(LocalDate From, LocalDate? Until)> Pauses { get; } = [];

    public IEnumerable<Fact> Of(FactKind kind) => Facts.Where(fact => fact.Kind == kind);

    public bool IsPaused(LocalDate day) => Pauses.Exists(pause => pause.From <= day && (pause.Until is not LocalDate until || day < until));

    /// <summary>The run in force on a day; before the first run: the first.</summary>
    public LadderRun RunOn(LocalDate day) => Runs.LastOrDefault(run => run.StartsOn <= day) ?? Runs[0];

    /// <summary>Holds or approvals of a step of a run: they belong to the run in force on their date.</summary>
    public List<Fact> ListOf(FactKind kind, LadderRun run, int step) =>
        [.. Of(kind).Where(fact => fact.Step == step && ReferenceEquals(RunOn(fact.On), run))];

    private static bool IsAhead(FactKind kind) => kind is FactKind.Paused or FactKind.Resumed or FactKind.Ended or FactKind.LadderStarted;

    private List<LadderRun> ListRuns()
    {
        var starts = new List<(int Ladder, LocalDate On)> { (1, Course.Course.StartedOn) };
        foreach (var fact in Of(FactKind.LadderStarted))
        {
            // It ends the ladder before it: whatever would start on this day or later does not take place.
            starts.RemoveAll(start => start.On >= fact.On);
            starts.Add((fact.Step!.Value, fact.On));
        }

        // No ladder begins again once the course was ended.
        if (EndedOn is LocalDate ended)
            starts = [.. starts.Where((start, index) => index == 0 || start.On < ended)];

        var runs = new List<LadderRun>();
        for (var i = 0; i < starts.Count; i++)
        {
            var next = i + 1 < starts.Count ? starts[i + 1].On : EndedOn;
            runs.Add(new LadderRun(starts[i].Ladder, starts[i].On, next, Course.ListLadder(starts[i].Ladder)));
        }

        return runs;
    }
}
