using System;
using System.Collections.Generic;
using System.Linq;
using Microsoft.Data.Sqlite;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>F7: the refill-due list of one site and day against the bare query that finds its rows.</summary>
internal static class RefillListRow
{
    private const string Row = "F7";

    public static void Measure(BenchmarkRun run)
    {
        var folder = run.Workplace.Planned(run.Options.Courses);
        var rounds = run.Options.Short ? 1 : 5;
        var desk = PlannerDesk.Open(folder);
        using (desk.Database)
        using (var bare = new BareQuery(folder, DueListStore.Sql, MorningList.Through(LargeRoster.Today)))
        {
            var list = Lister(desk);
            var sites = ListSites(desk, 100);
            var ours = new List<double>();
            var peer = new List<double>();
            var rows = 0;
            var listed = 0;
            for (var round = 0; round <= rounds; round++)
            {
                foreach (var site in sites)
                {
                    ours.Add(Timing.Nanoseconds(() => listed += list(site)));
                    peer.Add(Timing.Nanoseconds(() => rows += bare.Run(site.Id)));
                }
            }

            run.Report.Check(Row, $"{sites.Count} sites listed, {Figures.Count(listed / (rounds + 1))} lines of {Figures.Count(rows / (rounds + 1))} open tasks", listed > 0 && rows > 0);
            if (run.Options.Short)
                return;
            var (middle, middlePeer) = (Timing.Median(ours[sites.Count..]), Timing.Median(peer[sites.Count..]));
            run.Report.Add(Row, $"refill-due list of one site and day among {Figures.Count(run.Options.Courses)} courses, p50 of {sites.Count * rounds}", Figures.Time(middle), $"{Figures.Time(middlePeer)} bare query", middle / middlePeer, new Goal(1.5));
            run.Report.Remark($"F7: {rows / (rounds + 1) / sites.Count} open tasks and {listed / (rounds + 1) / sites.Count} lines a site; every column of the query is read; both in turns, a round over all sites before those that count.");
        }
    }

    // The one place that knows how the planner makes the list.
    private static Func<Site, int> Lister(Desk desk)
    {
        var planning = new PatientPlanning(desk);
        var composer = new MailComposer(new MailTemplates(), new MailSettings());
        var work = new MorningWork(desk, planning, new DueTasks(desk, planning, composer), composer);
        return site =>
        {
            using var reading = desk.Database.Read();
            return work.List(reading, site, desk.Now).Count;
        };
    }

    private static List<Site> ListSites(Desk desk, int count)
    {
        using var reading = desk.Database.Read();
        return [.. reading.Ledger.ListSites().Take(count)];
    }
}
