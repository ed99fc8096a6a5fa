using System;
using System.Collections.Generic;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Store;
using SQLitePCL;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>The tables that hold most rows, each with its prepared INSERT.</summary>
/// <param name="database">The open database, in a transaction.</param>
/// <param name="recordedAt">When facts were recorded.</param>
internal sealed class RosterTables(sqlite3 database, string recordedAt) : IDisposable
{
    private readonly BulkInsert _patients = new(database, "patients", "patient_id, name, site_id, born_on, phone, email, email_agreed_on, email_opted_out_on, status, language, time_zone, handover");
    private readonly BulkInsert _courses = new(database, "courses", "course_id, patient_id, started_on, device_id, expelled, fill_days, early_fill_percent");
    private readonly BulkInsert _steps = new(database, "steps", "course_id, ladder, step, product_id, doses, every_days, dose_days, needs_check, device_id, expelled");
    private readonly BulkInsert _prescriptions = new(database, "prescriptions", "rx_id, course_id, issued_on, refills_authorized, valid_through, schedule, prescriber, prescriber_phone");
    private readonly BulkInsert _facts = new(database, "facts", "fact_id, course_id, kind, on_date, product_id, containers, volume, expires_on, lot, until, opened_on, step, days_supply, note, recorded_at, recorded_by");
    private readonly BulkInsert _sharps = new(database, "sharps", "sharps_id, patient_id, capacity, issued_on, returned_on, written_off_on, container_class");

    private readonly BulkInsert _digests = new(database, "patient_digests", "patient_id, digest", isDigested: false);
    private readonly BulkInsert _names = new(database, "patient_names", "site_id, name, patients");
    private readonly SortedDictionary<(string Site, string Name), int> _namesakes = [];
    private long _digest;

    /// <summary>How many rows were added.</summary>
    public long Rows { get; private set; }

    /// <summary>Adds a patient with all that is on record.</summary>
    public void Add(RosterPatient patient, bool withFacts)
    {
        _digest = 0;
        Add(patient.Patient);
        var name = (patient.Patient.SiteId, patient.Patient.Name);
        _namesakes[name] = _namesakes.GetValueOrDefault(name) + 1;
        foreach (var (course, steps, prescriptions, facts) in patient.Courses)
        {
            Add(course);
            foreach (var step in steps)
                Add(step);
            foreach (var prescription in prescriptions)
                Add(prescription);
            if (!withFacts)
                continue;
            foreach (var fact in facts)
                Add(fact);
        }

        foreach (var container in patient.Sharps)
            Add(container);
        _digests.Bind(patient.Patient.Id).Bind(_digest).Run();
    }

    /// <summary>Adds what is known only after the last patient.</summary>
    public void End()
    {
        foreach (var ((site, name), patients) in _namesakes)
            _names.Bind(site).Bind(name).Bind(patients).Run();
    }

    /// <summary>Adds a fact.</summary>
    public void Add(Fact fact) => Run(_facts
        .Bind(fact.Id).Bind(fact.CourseId).Bind(Kebab.Of(fact.Kind)).Bind(fact.On).Bind(fact.ProductId).Bind(fact.Containers).Bind(fact.Volume).Bind(fact.ExpiresOn)
        .Bind(fact.Lot).Bind(fact.Until).Bind(fact.OpenedOn).Bind(fact.Step).Bind(fact.DaysSupply).Bind(fact.Note).Bind(recordedAt).Bind("benchmark"));

    public void Dispose()
    {
        foreach (var insert in new[] { _patients, _courses, _steps, _prescriptions, _facts, _sharps, _digests, _names })
            insert.Dispose();
    }

    private void Add(Patient patient) => Run(_patients
        .Bind(patient.Id).Bind(patient.Name).Bind(patient.SiteId).Bind(patient.BornOn).Bind(patient.Phone).Bind(patient.Email).Bind(patient.EmailAgreedOn)
        .Bind(patient.EmailOptedOutOn).Bind(Kebab.Of(patient.Status)).Bind(Kebab.Of(patient.Language)).Bind(patient.TimeZone).Bind(Kebab.Of(patient.Handover)));

    private void Add(Course course) => Run(_courses
        .Bind(course.Id).Bind(course.PatientId).Bind(course.StartedOn).Bind(course.DeviceId).Bind(course.Expelled).Bind(course.FillDays).Bind(course.EarlyFillPercent));

    private void Add(Step step) => Run(_steps
        .Bind(step.CourseId).Bind(step.Ladder).Bind(step.Number).Bind(step.ProductId).Bind(RosterFile.Doses(step)).Bind(step.EveryDays).Bind(step.DoseDays)
        .Bind(step.NeedsCheck).Bind(step.DeviceId).Bind(step.Expelled));

    private void Add(Prescription prescription) => Run(_prescriptions
        .Bind(prescription.Id).Bind(prescription.CourseId).Bind(prescription.IssuedOn).Bind(prescription.RefillsAuthorized).Bind(prescription.ValidThrough)
        .Bind(prescription.Schedule).Bind(prescription.Prescriber).Bind(prescription.PrescriberPhone));

    private void Add(SharpsContainer container) => Run(_sharps
        .Bind(container.Id).Bind(container.PatientId).Bind(container.Capacity).Bind(container.IssuedOn).Bind(container.ReturnedOn).Bind(container.WrittenOffOn)
        .Bind(container.ContainerClass));

    private void Run(BulkInsert insert)
    {
        insert.Run();
        _digest = RowDigest.Combine(_digest, insert.Digest);
        Rows++;
    }
}
