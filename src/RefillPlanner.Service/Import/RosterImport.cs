using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>Takes a roster in: judges every row, and writes the good ones in one transaction.</summary>
public static class RosterImport
{
    /// <summary>Imports a roster folder or zip.</summary>
    /// <param name="database">Where to.</param>
    /// <param name="path">The folder or zip.</param>
    /// <param name="now">When it is recorded.</param>
    /// <param name="by">Who imports.</param>
    /// <param name="isDryRun">Judge only: nothing is written.</param>
    /// <returns>What became of each row.</returns>
    /// <exception cref="System.IO.FileNotFoundException">There is no such folder or zip.</exception>
    public static RosterReport Run(PlannerDatabase database, string path, Instant now, string by, bool isDryRun = false)
    {
        var fileRefusals = new List<Refusal>();
        return Run(database, RosterFiles.Read(path, fileRefusals), fileRefusals, now, by, isDryRun);
    }

    /// <summary>Imports roster files given as text.</summary>
    public static RosterReport Run(PlannerDatabase database, IReadOnlyDictionary<string, string> texts, IReadOnlyList<Refusal> fileRefusals, Instant now, string by, bool isDryRun = false)
    {
        var report = new RosterReport();
        foreach (var refusal in fileRefusals)
            report.Refuse(refusal, raw: null);
        using var transaction = database.Begin();
        var known = KnownRoster.Read(transaction.Ledger);
        var tables = texts.ToDictionary(file => file.Key, file => RosterTable.Read(RosterColumns.All[file.Key], file.Value, report.Refuse));
        foreach (var (file, table) in tables)
        {
            if (table is not null)
                report.Headers[file] = table.Header;
        }

        IReadOnlyList<RosterRow> Rows(string file) => tables.GetValueOrDefault(file)?.Rows ?? [];
        var reference = new ReferenceJudge(known, report);
        var courses = new CourseJudge(known, report);
        var facts = new FactJudge(known, report, courses);
        reference.JudgeSites(Rows("sites.csv"));
        reference.JudgePatients(Rows("patients.csv"));
        reference.JudgeProducts(Rows("products.csv"));
        reference.JudgeDevices(Rows("devices.csv"));
        courses.JudgeCourses(Rows("courses.csv"), Rows("steps.csv"));
        courses.JudgePrescriptions(Rows("prescriptions.csv"));
        facts.Judge(Rows("facts.csv"));
        reference.JudgeSharps(Rows("sharps.csv"));

        if (isDryRun)
            return report;
        Write(transaction.Ledger, reference, courses, facts, now, by);
        transaction.Commit();
        return report;
    }

    private static void Write(LedgerStore ledger, ReferenceJudge reference, CourseJudge courses, FactJudge facts, Instant now, string by)
    {
        reference.Sites.ForEach(ledger.Put);
        reference.Patients.ForEach(ledger.Put);
        reference.Products.ForEach(ledger.Put);
        reference.Devices.ForEach(ledger.Put);
        courses.Courses.ForEach(ledger.Add);
        courses.Steps.ForEach(ledger.Add);
        courses.Prescriptions.ForEach(ledger.Put);
        facts.Facts.ForEach(fact => ledger.Add(fact, now, by));
        reference.Sharps.ForEach(ledger.Put);
    }
}
