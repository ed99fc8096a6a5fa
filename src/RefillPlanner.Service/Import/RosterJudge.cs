using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>Judges a roster against what is on record, and writes what is good row by row, in one transaction.</summary>
internal static class RosterJudge
{
    /// <summary>Takes all files of a roster, in the order in which they refer to each other.</summary>
    /// <param name="folder">The roster.</param>
    /// <param name="transaction">Where to; not committed.</param>
    /// <param name="now">When its facts are recorded.</param>
    /// <param name="by">Who records them.</param>
    public static IReadOnlyList<FileJudgement> Take(RosterFolder folder, StoreTransaction transaction, Instant now, string by)
    {
        var files = RosterSchema.All.ToDictionary(schema => schema, schema => new FileJudgement(RosterSheet.Open(schema, folder), transaction.Roster));
        var ledger = new RosterLedger(transaction.Ledger, now, by);
        var references = new References(ledger, files);

        UpdatableFile.Take(files[RosterSchema.Sites], SitesFile.Parse, site => site.Id, ledger.FindSite, SameContent.Of, ledger.Put);
        UpdatableFile.Take(files[RosterSchema.Patients], row => PatientsFile.Parse(row, references), patient => patient.Id, ledger.FindPatient, Equals, ledger.Put);
        TakeProducts(references);
        UpdatableFile.Take(files[RosterSchema.Devices], DevicesFile.Parse, device => device.Id, ledger.FindDevice, Equals, ledger.Put);
        new LadderJudge(references).Take();
        UpdatableFile.Take(
            files[RosterSchema.Prescriptions], row => PrescriptionsFile.Parse(row, references), prescription => prescription.Id, ledger.FindPrescription, Equals, ledger.Put);
        new FactJudge(references).Take();
        UpdatableFile.Take(files[RosterSchema.Sharps], row => SharpsFile.Parse(row, references), container => container.Id, ledger.FindSharps, Equals, ledger.Put);
        return [.. files.Values];
    }

    // A product may stand above the one that it is a size of, and both may change together: products are few, and judged in memory.
    private static void TakeProducts(References references)
    {
        var file = references.Judgement(RosterSchema.Products);
        var known = references.Ledger.Products.ToDictionary();
        var parsed = new Dictionary<RowReading, Product>();
        foreach (var row in file.Sheet.Read())
        {
            var reading = new RowReading(row);
            parsed.Add(reading, ProductsFile.Parse(reading));
        }

        var coming = parsed.Where(pair => pair.Key.IsGood).Select(pair => pair.Value.Id).ToHashSet();
        UpdatableFile.Take(
            file,
            parsed.OrderBy(pair => pair.Key.Has("size_of")).Select(pair => pair.Key),
            reading => Judge(reading, parsed[reading]),
            product => product.Id,
            references.Ledger.FindProduct,
            Equals,
            references.Ledger.Put);

        Product Judge(RowReading reading, Product product)
        {
            if (reading.IsGood && known.TryGetValue(product.Id, out var old))
                ProductsFile.JudgeChange(reading, product, old);
            if (reading.IsGood)
                ProductsFile.JudgeFamily(reading, product, references, coming);
            return product;
        }
    }
}
