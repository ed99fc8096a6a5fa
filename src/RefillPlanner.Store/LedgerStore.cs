using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>What is on record: kept (sites, patients, products, devices, prescriptions, sharps) or added once (courses, steps, facts).</summary>
/// <remarks>Here: what is few, and whole lists. What comes by the million, row by row, is in the other file of this class.</remarks>
public sealed partial class LedgerStore
{
    internal const string SiteColumns = "site_id, name, time_zone, closed_weekdays, closed_on, carrier_closed_on, calendar_known_through, staff_email, pharmacist_email, manager_email, sender_email, phone, emergency_number, sharps_return, sharps_return_es, digest";
    internal const string ProductColumns = "product_id, drug, kind, unit, strength_amount, strength_per, volume, dose_amount, in_use_days, in_use_count, dial_step, dial_max, prime, first_prime, beyond_use_days, prepare_open_days, cold, hazardous, max_dose, min_every_days, size_of, label_en, label_es, check_prompts, digest";
    internal const string DeviceColumns = "device_id, name, capacity, graduation, marked_in, units_per_ml, dead_space, sharps_per_injection, digest";

    private readonly Statements _statements;
    private readonly PatientDigests _digests;
    private readonly PatientNames _names;
    private long _combined;

    internal LedgerStore(Statements statements) => (_statements, _digests, _names) = (statements, new PatientDigests(statements), new PatientNames(statements));

    /// <summary>All sites, in order of id.</summary>
    public IReadOnlyList<Site> ListSites() => [.. _statements.Prepare($"SELECT {SiteColumns} FROM sites ORDER BY site_id;").List(row => Read(row, SiteRow.Digested, SiteRow.Read).ToSite())];

    /// <summary>All products, in order of id.</summary>
    public IReadOnlyList<Product> ListProducts() => [.. _statements.Prepare($"SELECT {ProductColumns} FROM products ORDER BY product_id;").List(row => Read(row, ProductRow.Digested, ProductRow.Read).ToProduct())];

    /// <summary>All devices, in order of id.</summary>
    public IReadOnlyList<Device> ListDevices() => [.. _statements.Prepare($"SELECT {DeviceColumns} FROM devices ORDER BY device_id;").List(row => Read(row, DeviceRow.Digested, DeviceRow.Read).ToDevice())];

    /// <summary>All patients, in order of id.</summary>
    public IReadOnlyList<Patient> ListPatients() => [.. _statements.Prepare($"SELECT {PatientColumns} FROM patients ORDER BY patient_id;").List(ReadPatient)];

    /// <summary>All courses, in order of id.</summary>
    public IReadOnlyList<Course> ListCourses() => [.. _statements.Prepare($"SELECT {CourseColumns} FROM courses ORDER BY course_id;").List(ReadCourse)];

    /// <summary>All steps, in order of course, ladder and number.</summary>
    public IReadOnlyList<Step> ListSteps() => [.. _statements.Prepare($"SELECT {StepColumns} FROM steps ORDER BY course_id, ladder, step;").List(ReadStep)];

    /// <summary>All prescriptions, in order of id.</summary>
    public IReadOnlyList<Prescription> ListPrescriptions() => [.. _statements.Prepare($"SELECT {PrescriptionColumns} FROM prescriptions ORDER BY rx_id;").List(ReadPrescription)];

    /// <summary>All facts, in order of id.</summary>
    public IReadOnlyList<Fact> ListFacts() => [.. _statements.Prepare($"SELECT {FactColumns} FROM facts ORDER BY fact_id;").List(ReadFact)];

    /// <summary>All sharps containers, in order of id.</summary>
    public IReadOnlyList<SharpsContainer> ListSharps() => [.. _statements.Prepare($"SELECT {SharpsColumns} FROM sharps ORDER BY sharps_id;").List(ReadSharps)];

    /// <summary>Keeps a site in place of the one with its id.</summary>
    public void Put(Site site) => PutReference("sites", "site_id", SiteColumns, site.Id, SiteRow.Of(site).Bind);

    /// <summary>Keeps a product in place of the one with its id.</summary>
    public void Put(Product product) => PutReference("products", "product_id", ProductColumns, product.Id, ProductRow.Of(product).Bind);

    /// <summary>Keeps a device in place of the one with its id.</summary>
    public void Put(Device device) => PutReference("devices", "device_id", DeviceColumns, device.Id, DeviceRow.Of(device).Bind);

    /// <summary>The digests of all rows read from here on are combined.</summary>
    internal void BeginCombining() => _combined = 0;

    /// <summary>Whether the rows read since <see cref="BeginCombining"/> are all that are on record about a patient, and no others.</summary>
    internal bool AreAllOf(string patientId) => (_digests.Find(patientId) ?? 0) == _combined;

    /// <summary>Whether the rows read since <see cref="BeginCombining"/> are all sites, products and devices, and no others.</summary>
    internal bool AreAllReferences() => FindReferenceDigest() == _combined;

    /// <summary>Writes what reading will ask for: before the end of a transaction.</summary>
    internal void WriteDigests() => _digests.Write();

    private long FindReferenceDigest() => _statements.For("SELECT digest FROM reference_version;").FindNumber();

    private void PutReference(string table, string key, string columns, string id, Func<PreparedStatement, PreparedStatement> bind)
    {
        var before = _statements.For($"SELECT digest FROM {table} WHERE {key} = ?;").Bind(id).FindNumber();
        var names = columns.Split(", ");
        var put = _statements.For($"""
            INSERT INTO {table} ({columns}) VALUES ({string.Join(", ", names.Select(_ => "?"))})
            ON CONFLICT ({key}) DO UPDATE SET {string.Join(", ", names.Skip(1).Select(name => $"{name} = excluded.{name}"))};
            """);
        bind(put).Run();
        _statements.For("UPDATE reference_version SET digest = ?;").Bind(RowDigest.Combine(FindReferenceDigest(), RowDigest.Combine(before, put.BoundDigest))).Run();
    }

    private T Read<T>(PreparedStatement row, int digested, Func<PreparedStatement, T> read)
    {
        var value = read(row);
        _combined = RowDigest.Combine(_combined, row.Long(digested));
        return value;
    }
}
