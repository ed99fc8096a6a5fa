using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Judges a roster against what is on record. Nothing is written.</summary>
public static class RosterJudge
{
    /// <summary>Reads and judges all files of a roster, in the order in which they refer to each other.</summary>
    /// <param name="folder">The roster.</param>
    /// <param name="known">What is on record; it is only asked.</param>
    public static JudgedRoster Judge(RosterFolder folder, IKnownLedger known)
    {
        var files = RosterSchema.All.ToDictionary(schema => schema, schema => new FileJudgement(Read(folder, schema)));
        var references = new References(new RosterLedger(known), files);
        var ledger = references.Ledger;

        var sites = UpdatableFile.Judge(files[RosterSchema.Sites], SitesFile.Parse, site => site.Id, known.FindSite, SameContent.Of, ledger.Put);
        var patients = UpdatableFile.Judge(
            files[RosterSchema.Patients], row => PatientsFile.Parse(row, references), patient => patient.Id, known.FindPatient, Equals, ledger.Put);
        var products = JudgeProducts(references, known);
        var devices = UpdatableFile.Judge(files[RosterSchema.Devices], DevicesFile.Parse, device => device.Id, known.FindDevice, Equals, ledger.Put);
        var (courses, steps) = new LadderJudge(references, known).Judge();
        var prescriptions = UpdatableFile.Judge(
            files[RosterSchema.Prescriptions], row => PrescriptionsFile.Parse(row, references), prescription => prescription.Id, known.FindPrescription, Equals, ledger.Put);
        var facts = new FactJudge(references, known).Judge();
        var sharps = UpdatableFile.Judge(
            files[RosterSchema.Sharps], row => SharpsFile.Parse(row, references), container => container.Id, known.FindSharps, Equals, ledger.Put);

        return new JudgedRoster
        {
            Sites = sites,
            Patients = patients,
            Products = products,
            Devices = devices,
            Courses = courses,
            Steps = steps,
            Prescriptions = prescriptions,
            Facts = facts,
            Sharps = sharps,
            Refusals = [.. folder.Refusals, .. files.Values.SelectMany(ListRefusals)],
            RefusedParts = [.. files.Values.Select(FindRefusedPart).OfType<RefusedPart>()],
            Counts = [.. files.Values.Where(file => !file.Sheet.Bytes.IsEmpty).Select(Count)],
        };
    }

    private static RosterSheet Read(RosterFolder folder, RosterSchema schema) =>
        folder.FindBytes(schema.File, out var refusal) is byte[] bytes ? RosterSheet.Read(schema, bytes)
        : refusal is not null ? RosterSheet.Refused(schema, refusal)
        : RosterSheet.Missing(schema);

    private static IReadOnlyList<Product> JudgeProducts(References references, IKnownLedger known)
    {
        var file = references.Judgement(RosterSchema.Products);
        var parsed = new Dictionary<RowReading, Product>();
        foreach (var row in file.Sheet.Rows)
        {
            var reading = new RowReading(row);
            parsed.Add(reading, ProductsFile.Parse(reading));
        }

        var coming = parsed.Where(pair => pair.Key.IsGood).Select(pair => pair.Value.Id).ToHashSet(StringComparer.Ordinal);
        return UpdatableFile.Judge(
            file,
            parsed.OrderBy(pair => pair.Key.Has("size_of")).Select(pair => pair.Key),
            reading => Judge(reading, parsed[reading]),
            product => product.Id,
            known.FindProduct,
            Equals,
            references.Ledger.Put);

        Product Judge(RowReading reading, Product product)
        {
            if (reading.IsGood && known.FindProduct(product.Id) is Product old)
                ProductsFile.JudgeChange(reading, product, old);
            if (reading.IsGood)
                ProductsFile.JudgeFamily(reading, product, references, coming);
            return product;
        }
    }

    private static IEnumerable<Refusal> ListRefusals(FileJudgement file) =>
        file.Sheet.FileRefusals.Concat(file.ListRefused().Select(refused => refused.Refusal));

    private static FileCounts Count(FileJudgement file) =>
        new(file.Sheet.Schema.File, file.New, file.Updated, file.Same, file.RefusedRows);

    private static RefusedPart? FindRefusedPart(FileJudgement file)
    {
        if (file.Sheet.IsRefused)
            return file.Sheet.Bytes.IsEmpty ? null : new RefusedPart(file.Sheet.Schema.File, default, [file.Sheet.Bytes]);
        return file.RefusedRows == 0 ? null : new RefusedPart(file.Sheet.Schema.File, file.Sheet.Header, [.. file.ListRefused().Select(refused => refused.Row.Raw)]);
    }
}
