using NodaTime;
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
    public static JudgedRoster Run(PlannerDatabase database, RosterFolder folder, Instant now, string by, bool isDryRun = false)
    {
        using var transaction = database.Begin();
        var roster = RosterJudge.Judge(folder, ReadRecord(transaction.Ledger));
        if (isDryRun)
            return roster;
        Write(roster, transaction.Ledger, now, by);
        transaction.Commit();
        return roster;
    }

    // Everything on record, read once: a roster may speak of any of it.
    private static RosterLedger ReadRecord(LedgerStore ledger)
    {
        var known = new RosterLedger();
        foreach (var site in ledger.ListSites())
            known.Put(site);
        foreach (var patient in ledger.ListPatients())
            known.Put(patient);
        foreach (var product in ledger.ListProducts())
            known.Put(product);
        foreach (var device in ledger.ListDevices())
            known.Put(device);
        foreach (var course in ledger.ListCourses())
            known.Add(course);
        foreach (var step in ledger.ListSteps())
            known.Add(step);
        foreach (var prescription in ledger.ListPrescriptions())
            known.Put(prescription);
        foreach (var fact in ledger.ListFacts())
            known.Add(fact);
        foreach (var container in ledger.ListSharps())
            known.Put(container);
        return known;
    }

    private static void Write(JudgedRoster roster, LedgerStore ledger, Instant now, string by)
    {
        foreach (var site in roster.Sites)
            ledger.Put(site);
        foreach (var patient in roster.Patients)
            ledger.Put(patient);
        foreach (var product in roster.Products)
            ledger.Put(product);
        foreach (var device in roster.Devices)
            ledger.Put(device);
        foreach (var course in roster.Courses)
            ledger.Add(course);
        foreach (var step in roster.Steps)
            ledger.Add(step);
        foreach (var prescription in roster.Prescriptions)
            ledger.Put(prescription);
        foreach (var fact in roster.Facts)
            ledger.Add(fact, now, by);
        foreach (var container in roster.Sharps)
            ledger.Put(container);
    }
}
