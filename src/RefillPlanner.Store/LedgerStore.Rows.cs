using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>A fact on record.</summary>
/// <param name="Fact">The fact.</param>
/// <param name="Place">Its place in the table: an order in which facts came, kept only within one transaction.</param>
public sealed record FactOnRecord(Fact Fact, long Place);

/// <content>Patients, courses, steps, prescriptions, facts and sharps one by one, by prepared statements.</content>
public sealed partial class LedgerStore
{
    internal const string PatientColumns = "patient_id, name, site_id, born_on, phone, email, email_agreed_on, email_opted_out_on, status, language, time_zone, handover, digest";
    internal const string CourseColumns = "course_id, patient_id, started_on, device_id, expelled, fill_days, early_fill_percent, digest";
    internal const string StepColumns = "course_id, ladder, step, product_id, doses, every_days, dose_days, needs_check, device_id, expelled, digest";
    internal const string PrescriptionColumns = "rx_id, course_id, issued_on, refills_authorized, valid_through, schedule, prescriber, prescriber_phone, digest";
    internal const string SharpsColumns = "sharps_id, patient_id, capacity, issued_on, returned_on, written_off_on, container_class, digest";
    internal const string DigestedFactColumns = "fact_id, course_id, kind, on_date, product_id, containers, volume, expires_on, lot, until, opened_on, step, days_supply, note, recorded_at, recorded_by, digest";
    private const string FactColumns = DigestedFactColumns + ", rowid";

    // How many columns are in the digest, which stands after them.
    internal const int DigestedOfPatient = 12;
    private const int DigestedOfCourse = 7;
    private const int DigestedOfStep = 10;
    private const int DigestedOfPrescription = 8;
    private const int DigestedOfSharps = 7;
    private const int DigestedOfFact = 16;

    private PreparedStatement? _findPatient;
    private PreparedStatement? _findKeptPatient;
    private PreparedStatement? _putPatient;
    private PreparedStatement? _findCourse;
    private PreparedStatement? _addCourse;
    private PreparedStatement? _listSteps;
    private PreparedStatement? _addStep;
    private PreparedStatement? _findPrescription;
    private PreparedStatement? _findKeptPrescription;
    private PreparedStatement? _putPrescription;
    private PreparedStatement? _findSharps;
    private PreparedStatement? _findKeptSharps;
    private PreparedStatement? _putSharps;
    private PreparedStatement? _findFact;
    private PreparedStatement? _listCountsAndVoids;
    private PreparedStatement? _addFact;

    /// <summary>The patient of an id; null: not on record.</summary>
    public Patient? FindPatient(string id) => Found("patients", id, found => found.Id, (_findPatient ??= _statements.Prepare($"SELECT {PatientColumns} FROM patients WHERE patient_id = ?;"))
        .Bind(id).Find(ReadPatient));

    /// <summary>The patients with an e-mail address, in capitals or small letters, in order of id.</summary>
    public IReadOnlyList<Patient> ListPatientsByEmail(string address) =>
        [.. _statements.For($"SELECT {PatientColumns} FROM patients WHERE email = ? COLLATE NOCASE ORDER BY patient_id;").Bind(address).List(ReadPatient)];

    /// <summary>Keeps a patient in place of the one with its id. An opt-out on record is never moved back.</summary>
    public void Put(Patient patient)
    {
        var before = (_findKeptPatient ??= _statements.Prepare("SELECT site_id, name, email_opted_out_on, digest FROM patients WHERE patient_id = ?;"))
            .Bind(patient.Id).Find(row => new KeptPatient(row.Text(0), row.Text(1), row.TextOrNull(2), row.Long(3)));
        if (before?.OptedOutOn is string kept && Columns.Date(kept) is LocalDate optedOutOn)
            patient = patient with { EmailOptedOutOn = LocalDate.Max(optedOutOn, patient.EmailOptedOutOn ?? optedOutOn) };
        (_putPatient ??= _statements.Prepare("""
            INSERT INTO patients (patient_id, name, site_id, born_on, phone, email, email_agreed_on, email_opted_out_on, status, language,
                time_zone, handover, digest)
            VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
            ON CONFLICT (patient_id) DO UPDATE SET name = excluded.name, site_id = excluded.site_id, born_on = excluded.born_on,
                phone = excluded.phone, email = excluded.email, email_agreed_on = excluded.email_agreed_on,
                email_opted_out_on = excluded.email_opted_out_on, status = excluded.status, language = excluded.language,
                time_zone = excluded.time_zone, handover = excluded.handover, digest = excluded.digest;
            """)).BeginDigest()
            .Bind(patient.Id).Bind(patient.Name).Bind(patient.SiteId).Bind(patient.BornOn).Bind(patient.Phone).Bind(patient.Email)
            .Bind(patient.EmailAgreedOn).Bind(patient.EmailOptedOutOn).Bind(Kebab.Of(patient.Status)).Bind(Kebab.Of(patient.Language))
            .Bind(patient.TimeZone).Bind(Kebab.Of(patient.Handover)).BindDigest().Run();
        _digests.Change(patient.Id, RowDigest.Combine(before?.Digest ?? 0, _putPatient.BoundDigest));
        if (before?.SiteId == patient.SiteId && before.Name == patient.Name)
            return;
        if (before is not null)
            _names.Change(before.SiteId, before.Name, by: -1);
        _names.Change(patient.SiteId, patient.Name, by: 1);
    }

    /// <summary>The course of an id; null: not on record.</summary>
    public Course? FindCourse(string id) => Found("courses", id, found => found.Id, (_findCourse ??= _statements.Prepare($"SELECT {CourseColumns} FROM courses WHERE course_id = ?;"))
        .Bind(id).Find(ReadCourse));

    /// <summary>Adds a course that is not on record.</summary>
    public void Add(Course course)
    {
        (_addCourse ??= _statements.Prepare($"INSERT INTO courses ({CourseColumns}) VALUES (?, ?, ?, ?, ?, ?, ?, ?);")).BeginDigest()
            .Bind(course.Id).Bind(course.PatientId).Bind(course.StartedOn).Bind(course.DeviceId).Bind(course.Expelled.Nanolitres)
            .Bind(course.FillDays).Bind(course.EarlyFillPercent).BindDigest().Run();
        _digests.Change(course.PatientId, _addCourse.BoundDigest);
    }

    /// <summary>The steps of all ladders of a course, in order of ladder and number.</summary>
    public IReadOnlyList<Step> ListSteps(string courseId) => [.. (_listSteps ??= _statements.Prepare($"SELECT {StepColumns} FROM steps WHERE course_id = ? ORDER BY ladder, step;"))
        .Bind(courseId)
        .List(ReadStep)];

    /// <summary>Adds a step that is not on record.</summary>
    public void Add(Step step)
    {
        (_addStep ??= _statements.Prepare($"INSERT INTO steps ({StepColumns}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?);")).BeginDigest()
            .Bind(step.CourseId).Bind(step.Ladder).Bind(step.Number).Bind(step.ProductId).Bind(Columns.Join(step.Doses)).Bind(step.EveryDays)
            .Bind(step.DoseDays).Bind(step.NeedsCheck ? 1 : 0).Bind(step.DeviceId).Bind(step.Expelled?.Nanolitres).BindDigest().Run();
        _digests.ChangeOfCourse(step.CourseId, _addStep.BoundDigest);
    }

    /// <summary>The prescription of an id; null: not on record.</summary>
    public Prescription? FindPrescription(string id) => Found("prescriptions", id, found => found.Id, (_findPrescription ??= _statements.Prepare($"SELECT {PrescriptionColumns} FROM prescriptions WHERE rx_id = ?;"))
        .Bind(id).Find(ReadPrescription));

    /// <summary>Keeps a prescription in place of the one with its id.</summary>
    public void Put(Prescription prescription)
    {
        var before = (_findKeptPrescription ??= _statements.Prepare("SELECT course_id, digest FROM prescriptions WHERE rx_id = ?;"))
            .Bind(prescription.Id).Find(row => new KeptRowDigest(row.Text(0), row.Long(1)));
        (_putPrescription ??= _statements.Prepare($"""
            INSERT INTO prescriptions ({PrescriptionColumns}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
            ON CONFLICT (rx_id) DO UPDATE SET course_id = excluded.course_id, issued_on = excluded.issued_on,
                refills_authorized = excluded.refills_authorized, valid_through = excluded.valid_through, schedule = excluded.schedule,
                prescriber = excluded.prescriber, prescriber_phone = excluded.prescriber_phone, digest = excluded.digest;
            """)).BeginDigest()
            .Bind(prescription.Id).Bind(prescription.CourseId).Bind(prescription.IssuedOn).Bind(prescription.RefillsAuthorized)
            .Bind(prescription.ValidThrough).Bind(prescription.Schedule).Bind(prescription.Prescriber).Bind(prescription.PrescriberPhone).BindDigest().Run();
        if (before is not null)
            _digests.ChangeOfCourse(before.OwnerId, before.Digest);
        _digests.ChangeOfCourse(prescription.CourseId, _putPrescription.BoundDigest);
    }

    /// <summary>The sharps container of an id; null: not on record.</summary>
    public SharpsContainer? FindSharps(string id) => Found("sharps", id, found => found.Id, (_findSharps ??= _statements.Prepare($"SELECT {SharpsColumns} FROM sharps WHERE sharps_id = ?;"))
        .Bind(id).Find(ReadSharps));

    /// <summary>Keeps a sharps container in place of the one with its id.</summary>
    public void Put(SharpsContainer container)
    {
        var before = (_findKeptSharps ??= _statements.Prepare("SELECT patient_id, digest FROM sharps WHERE sharps_id = ?;"))
            .Bind(container.Id).Find(row => new KeptRowDigest(row.Text(0), row.Long(1)));
        (_putSharps ??= _statements.Prepare($"""
            INSERT INTO sharps ({SharpsColumns}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
            ON CONFLICT (sharps_id) DO UPDATE SET patient_id = excluded.patient_id, capacity = excluded.capacity,
                issued_on = excluded.issued_on, returned_on = excluded.returned_on, written_off_on = excluded.written_off_on,
                container_class = excluded.container_class, digest = excluded.digest;
            """)).BeginDigest()
            .Bind(container.Id).Bind(container.PatientId).Bind(container.Capacity).Bind(container.IssuedOn).Bind(container.ReturnedOn)
            .Bind(container.WrittenOffOn).Bind(container.ContainerClass).BindDigest().Run();
        if (before is not null)
            _digests.Change(before.OwnerId, before.Digest);
        _digests.Change(container.PatientId, _putSharps.BoundDigest);
    }

    /// <summary>The last place that a fact has; 0: there are no facts.</summary>
    public long LastFactPlace() => _statements.Prepare("SELECT max(rowid) FROM facts;").FindNumber();

    /// <summary>The fact of an id; null: not on record.</summary>
    public FactOnRecord? FindFact(string id) => Found("facts", id, found => found.Fact.Id, (_findFact ??= _statements.Prepare($"SELECT {FactColumns} FROM facts WHERE fact_id = ?;"))
        .Bind(id).Find(row => new FactOnRecord(ReadFact(row), row.Long(DigestedOfFact + 1))));

    /// <summary>The counts and voids of a course, in order of id.</summary>
    public IReadOnlyList<Fact> ListCountsAndVoids(string courseId) => [.. (_listCountsAndVoids ??= _statements.Prepare(
        $"SELECT {FactColumns} FROM facts WHERE course_id = ? AND kind IN ('counted', 'void') ORDER BY fact_id;"))
        .Bind(courseId)
        .List(ReadFact)];

    /// <summary>Adds a fact that is not on record.</summary>
    /// <param name="fact">The fact.</param>
    /// <param name="recordedAt">When it is recorded.</param>
    /// <param name="recordedBy">Who records it.</param>
    /// <param name="place">A place after those of all facts on record, that none has; null: the next.</param>
    public void Add(Fact fact, Instant recordedAt, string recordedBy, long? place = null)
    {
        (_addFact ??= _statements.Prepare("""
        INSERT INTO facts (rowid, fact_id, course_id, kind, on_date, product_id, containers, volume, expires_on, lot, until, opened_on, step,
            days_supply, note, recorded_at, recorded_by, digest)
        VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?);
        """))
        .Bind(place).BeginDigest().Bind(fact.Id).Bind(fact.CourseId).Bind(Kebab.Of(fact.Kind)).Bind(fact.On).Bind(fact.ProductId).Bind(fact.Containers)
        .Bind(fact.Volume?.Nanolitres).Bind(fact.ExpiresOn).Bind(fact.Lot).Bind(fact.Until).Bind(fact.OpenedOn).Bind(fact.Step)
        .Bind(fact.DaysSupply).Bind(fact.Note).Bind(recordedAt).Bind(recordedBy).BindDigest().Run();
        _digests.ChangeOfCourse(fact.CourseId, _addFact.BoundDigest);
    }

    private sealed record KeptPatient(string SiteId, string Name, string? OptedOutOn, long Digest);

    private sealed record KeptRowDigest(string OwnerId, long Digest);
}
