using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Follows ids to what is on record or has come through in this roster, and says why when there is nothing.</summary>
/// <param name="ledger">What is on record, with what came through.</param>
/// <param name="files">The judgement of each file by its schema.</param>
internal sealed class References(RosterLedger ledger, IReadOnlyDictionary<RosterSchema, FileJudgement> files)
{
    public RosterLedger Ledger => ledger;

    public FileJudgement Judgement(RosterSchema schema) => files[schema];

    public Site? Site(RowReading row, string column) =>
        Follow(row, column, "site", RosterSchema.Sites, ledger.FindSite(row[column]));

    public Patient? Patient(RowReading row, string column) =>
        Follow(row, column, "patient", RosterSchema.Patients, ledger.FindPatient(row[column]));

    public Product? Product(RowReading row, string column) =>
        Follow(row, column, "product", RosterSchema.Products, ledger.FindProduct(row[column]));

    public Device? Device(RowReading row, string column) =>
        Follow(row, column, "device", RosterSchema.Devices, ledger.FindDevice(row[column]));

    public Course? Course(RowReading row, string column) =>
        Follow(row, column, "course", RosterSchema.Courses, ledger.FindCourse(row[column]));

    private T? Follow<T>(RowReading row, string column, string noun, RosterSchema schema, T? found)
        where T : class
    {
        if (found is null && row.Has(column))
            row.Refuse(column, files[schema].WhyUnknown(noun, row[column]));
        return found;
    }
}
