using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>News for one patient in so many, added to the record without planning anything.</summary>
internal static class RosterNews
{
    /// <summary>Adds it; other patients at each turn.</summary>
    /// <returns>How many patients have news.</returns>
    public static int Add(string folder, int oneIn, int turn)
    {
        var subjects = NewFact.ListEvery(folder, oneIn, turn * 7);
        var desk = PlannerDesk.Open(folder);
        using (desk.Database)
        using (var transaction = desk.Database.Begin())
        {
            for (var i = 0; i < subjects.Count; i++)
                transaction.Ledger.Add(NewFact.Make(subjects[i], 1_000 * turn + i), desk.Now, "benchmark");
            transaction.Commit();
        }

        return subjects.Count;
    }
}
