using System;
using System.Collections.Generic;
using System.Linq;
using Microsoft.Data.Sqlite;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Work;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>F6: one new fact, until plan, tasks and outbox are durable, against one bare durable commit in the same file, 25 in turn.</summary>
internal static class FactRow
{
    private const string Row = "F6";
    private const int WarmUp = 500;

    // So many of one side after each other: what the other connection has written must be read again, which a service that writes by itself is spared.
    private const int InTurn = 25;

    public static void Measure(BenchmarkRun run)
    {
        var folder = run.Workplace.Planned(run.Options.Courses);
        var count = run.Options.Short ? 50 : 500;
        var sites = int.Min(50, new LargeRoster(run.Options.Courses, run.Options.Seed).Sites);
        var subjects = Replanning.FirstSites(sites).SelectMany(site => NewFact.ListOfSite(folder, site, (count + WarmUp) / sites + 1)).Take(count + WarmUp).ToList();
        var ours = new List<double>();
        var bare = new List<double>();
        var facts = subjects.Select((subject, index) => NewFact.Make(subject, 1_000_000 + index)).ToList();
        var desk = PlannerDesk.Open(folder);
        using (desk.Database)
        using (var commit = new BareCommit(folder))
        {
            var planning = new PatientPlanning(desk);
            foreach (var turn in Enumerable.Range(0, subjects.Count).Chunk(InTurn))
            {
                ours.AddRange(turn.Select(i => Timing.Nanoseconds(() => Record(desk, planning, subjects[i].PatientId, facts[i]))));
                bare.AddRange(turn.Select(_ => Timing.Nanoseconds(commit.Run)));
            }
        }

        run.Report.Check(Row, $"{Figures.Count(ours.Count)} facts recorded and planned", subjects.Count == count + WarmUp && CountFacts(folder) == subjects.Count);
        if (run.Options.Short)
            return;
        var (middle, middleBare) = (Timing.Median(ours[WarmUp..]), Timing.Median(bare[WarmUp..]));
        run.Report.Add(Row, $"one new fact to durable plan and tasks, {Figures.Count(run.Options.Courses)} courses in the file, p50 of {count}", Figures.Time(middle), $"{Figures.Time(middleBare)} bare durable commit", middle / middleBare, new Goal(2.0));
        run.Report.Remark($"F6: {InTurn} of each in turn on the same file, WAL, synchronous=FULL, {WarmUp} of each before those that count; every other fact is a count, the others are fills.");
    }

    // The one place that knows how the planner records a fact and plans its patient.
    private static void Record(Desk desk, PatientPlanning planning, string patientId, Fact fact)
    {
        using var transaction = desk.Database.Begin();
        transaction.Ledger.Add(fact, desk.Now, "benchmark");
        planning.Plan(transaction, patientId);
        transaction.Commit();
    }

    private static long CountFacts(string folder)
    {
        using var connection = RosterFile.Connect(folder);
        using var command = connection.CreateCommand();
        command.CommandText = "SELECT count(*) FROM facts WHERE fact_id GLOB 'N-*-1000[0-9][0-9][0-9]';";
        return (long)command.ExecuteScalar()!;
    }
}
