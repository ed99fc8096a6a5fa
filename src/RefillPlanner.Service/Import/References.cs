using System;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>Follows ids to what is on record or has come through in this roster, and says why when there is nothing.</summary>
/// <param name="ledger">What is on record, with what came through.</param>
/// <param name="files">The judgement of each file by its schema.</param>
internal sealed class References(RosterLedger ledger, IReadOnlyDictionary<RosterSchema, FileJudgement> files)
{
    public RosterLedger Ledger => ledger;

    public FileJudgement Judgement(RosterSchema schema) => files[schema];

    public Site? Site(RowReading row, string column) =>
        Follow(row, column, "site", RosterSchema.Sites, ledger.FindSite);

    public Patient? Patient(RowReading row, string column) =>
        Follow(row, column, "patient", RosterSchema.Patients, ledger.FindPatient);

    public Product? Product(RowReading row, string column) =>
        Follow(row, column, "product", RosterSchema.Products, ledger.FindProduct);

    public Device? Device(RowReading row, string column) =>
        Follow(row, column, "device", RosterSchema.Devices, ledger.FindDevice);

    public Course? Course(RowReading row, string column) =>
        Follow(row, column, "course", RosterSchema.Courses, ledger.FindCourse);

    /// <summary>The patient of an id as on record. One that is damaged is not made anew by a roster: an opt-out may be in it.</summary>
    public Patient? Recorded(RowReading row, string id)
    {
        try
        {
            return ledger.FindPatient(id);
        }
        catch (DamagedRowException damage)
        {
            row.Refuse("patient_id", damage.Message);
            return null;
        }
    }

    private T? Follow<T>(RowReading row, string column, string noun, RosterSchema schema, Func<string, T?> find)
        where T : class
    {
        try
        {
            var found = find(row[column]);
            if (found is null && row.Has(column))
                row.Refuse(column, files[schema].WhyUnknown(noun, row[column]));
            return found;
        }
        catch (DamagedRowException damage)
        {
            row.Refuse(column, damage.Message);
            return null;
        }
    }
}
