using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>Brings a roster into the store: judged against it and written to it in one transaction, so that importing twice is importing once.</summary>
public static class RosterImport
{
    /// <summary>Judges a roster and writes what is good of it.</summary>
    /// <param name="database">Where to.</param>
    /// <param name="folder">The roster.</param>
    /// <param name="now">When its facts are recorded.</param>
    /// <param name="by">Who records them.</param>
    /// <param name="isDryRun">Judge only: nothing is written.</param>
    /// <param name="refusedFolder">Where refused rows are written, before the good ones are in for good; null: nowhere.</param>
    public static JudgedRoster Run(PlannerDatabase database, RosterFolder folder, Instant now, string by, bool isDryRun = false, string? refusedFolder = null)
    {
        using var transaction = database.Begin();
        var files = RosterJudge.Take(folder, transaction, now, by);
        var report = new JudgedRoster
        {
            Refusals = [.. ListRefusals(folder, files).Take(JudgedRoster.MostListed)],
            RefusalCount = folder.Refusals.Count + files.Sum(file => file.Sheet.FileRefusals.Count + file.RefusedRows),
            Counts = [.. files.Where(file => file.Sheet.HasBytes).Select(file => new FileCounts(file.Sheet.Schema.File, file.New, file.Updated, file.Same, file.RefusedRows))],
        };
        if (isDryRun)
            return report;
        if (refusedFolder is not null && report.RefusalCount > 0)
            RefusedRows.Write(refusedFolder, files, ListRefusals(folder, files));
        transaction.Roster.Clear();
        Waypoints.Pass(Waypoints.Importing);
        transaction.Commit();
        Waypoints.Pass(Waypoints.ImportCommitted);
        return report;
    }

    private static IEnumerable<Refusal> ListRefusals(RosterFolder folder, IReadOnlyList<FileJudgement> files) =>
        folder.Refusals.Concat(files.SelectMany(file => file.ListRefusals()));
}
