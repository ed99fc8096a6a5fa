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
    private const string PatientColumns = "patient_id, name, site_id, born_on, phone, email, email_agreed_on, email_opted_out_on, status, language, time_zone, handover";
    private const string CourseColumns = "course_id, patient_id, started_on, device_id, expelled, fill_days, early_fill_percent";
    private const string StepColumns = "course_id, ladder, step, product_id, doses, every_days, dose_days, needs_check, device_id, expelled";
    private const string PrescriptionColumns = "rx_id, course_id, issued_on, refills_authorized, valid_through, schedule, prescriber, prescriber_phone";
    private const string SharpsColumns = "sharps_id, patient_id, capacity, issued_on, returned_on, written_off_on, container_class";
    private const string FactColumns = "fact_id, course_id, kind, on_date, product_id, containers, volume, expires_on, lot, until, opened_on, step, days_supply, note, rowid";

    private PreparedStatement? _findPatient;
    private PreparedStatement? _putPatient;
    private PreparedStatement? _findCourse;
    private PreparedStatement? _addCourse;
    private PreparedStatement? _listSteps;
    private PreparedStatement? _addStep;
    private PreparedStatement? _findPrescription;
    private PreparedStatement? _putPrescription;
    private PreparedStatement? _findSharps;
    private PreparedStatement? _putSharps;
    private PreparedStatement? _findFact;
    private PreparedStatement? _listCountsAndVoids;
    private PreparedStatement? _addFact;

    /// <summary>The patient of an id; null: not on record.</summary>
    public Patient? FindPatient(string id) => (_findPatient ??= _statements.Prepare($"SELECT {PatientColumns} FROM patients WHERE patient_id = ?;"))
        .Bind(id)
        .Find(ReadPatient);

    /// <summary>The patients with an e-mail address, in capitals or small letters, in order of id.</summary>
    public IReadOnlyList<Patient> ListPatientsByEmail(string address) =>
        [.. _statements.For($"SELECT {PatientColumns} FROM patients WHERE email = ? COLLATE NOCASE ORDER BY patient_id;").Bind(address).List(ReadPatient)];

    /// <summary>Keeps a patient in place of the one with its id. An opt-out on record is never moved back.</summary>
    public void Put(Patient patient) => (_putPatient ??= _statements.Prepare("""
        INSERT INTO patients (patient_id, name, site_id, born_on, phone, email, email_agreed_on, email_opted_out_on, status, language,
            time_zone, handover)
        VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
        ON CONFLICT (patient_id) DO UPDATE SET name = excluded.name, site_id = excluded.site_id, born_on = excluded.born_on,
            phone = excluded.phone, email = excluded.email, email_agreed_on = excluded.email_agreed_on,
            email_opted_out_on = max(ifnull(excluded.email_opted_out_on, email_opted_out_on), ifnull(email_opted_out_on, excluded.email_opted_out_on)),
            status = excluded.status, language = excluded.language, time_zone = excluded.time_zone, handover = excluded.handover;
        """))
        .Bind(patient.Id).Bind(patient.Name).Bind(patient.SiteId).Bind(patient.BornOn).Bind(patient.Phone).Bind(patient.Email)
        .Bind(patient.EmailAgreedOn).Bind(patient.EmailOptedOutOn).Bind(Kebab.Of(patient.Status)).Bind(Kebab.Of(patient.Language))
        .Bind(patient.TimeZone).Bind(Kebab.Of(patient.Handover)).Run();

    /// <summary>The course of an id; null: not on record.</summary>
    public Course? FindCourse(string id) => (_findCourse ??= _statements.Prepare($"SELECT {CourseColumns} FROM courses WHERE course_id = ?;"))
        .Bind(id)
        .Find(ReadCourse);

    /// <summary>Adds a course that is not on record.</summary>
    public void Add(Course course) => (_addCourse ??= _statements.Prepare("""
        INSERT INTO courses (course_id, patient_id, started_on, device_id, expelled, fill_days, early_fill_percent) VALUES (?, ?, ?, ?, ?, ?, ?);
        """))
        .Bind(course.Id).Bind(course.PatientId).Bind(course.StartedOn).Bind(course.DeviceId).Bind(course.Expelled.Nanolitres)
        .Bind(course.FillDays).Bind(course.EarlyFillPercent).Run();

    /// <summary>The steps of all ladders of a course, in order of ladder and number.</summary>
    public IReadOnlyList<Step> ListSteps(string courseId) => [.. (_listSteps ??= _statements.Prepare($"SELECT {StepColumns} FROM steps WHERE course_id = ? ORDER BY ladder, step;"))
        .Bind(courseId)
        .List(ReadStep)];

    /// <summary>Adds a step that is not on record.</summary>
    public void Add(Step step) => (_addStep ??= _statements.Prepare("""
        INSERT INTO steps (course_id, ladder, step, product_id, doses, every_days, dose_days, needs_check, device_id, expelled)
        VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?);
        """))
        .Bind(step.CourseId).Bind(step.Ladder).Bind(step.Number).Bind(step.ProductId).Bind(Columns.Join(step.Doses)).Bind(step.EveryDays)
        .Bind(step.DoseDays).Bind(step.NeedsCheck ? 1 : 0).Bind(step.DeviceId).Bind(step.Expelled?.Nanolitres).Run();

    /// <summary>The prescription of an id; null: not on record.</summary>
    public Prescription? FindPrescription(string id) => (_findPrescription ??= _statements.Prepare($"SELECT {PrescriptionColumns} FROM prescriptions WHERE rx_id = ?;"))
        .Bind(id)
        .Find(ReadPrescription);

    /// <summary>Keeps a prescription in place of the one with its id.</summary>
    public void Put(Prescription prescription) => (_putPrescription ??= _statements.Prepare("""
        INSERT INTO prescriptions (rx_id, course_id, issued_on, refills_authorized, valid_through, schedule, prescriber, prescriber_phone)
        VALUES (?, ?, ?, ?, ?, ?, ?, ?)
        ON CONFLICT (rx_id) DO UPDATE SET course_id = excluded.course_id, issued_on = excluded.issued_on,
            refills_authorized = excluded.refills_authorized, valid_through = excluded.valid_through, schedule = excluded.schedule,
            prescriber = excluded.prescriber, prescriber_phone = excluded.prescriber_phone;
        """))
        .Bind(prescription.Id).Bind(prescription.CourseId).Bind(prescription.IssuedOn).Bind(prescription.RefillsAuthorized)
        .Bind(prescription.ValidThrough).Bind(prescription.Schedule).Bind(prescription.Prescriber).Bind(prescription.PrescriberPhone).Run();

    /// <summary>The sharps container of an id; null: not on record.</summary>
    public SharpsContainer? FindSharps(string id) => (_findSharps ??= _statements.Prepare($"SELECT {SharpsColumns} FROM sharps WHERE sharps_id = ?;"))
        .Bind(id)
        .Find(ReadSharps);

    /// <summary>Keeps a sharps container in place of the one with its id.</summary>
    public void Put(SharpsContainer container) => (_putSharps ??= _statements.Prepare("""
        INSERT INTO sharps (sharps_id, patient_id, capacity, issued_on, returned_on, written_off_on, container_class)
        VALUES (?, ?, ?, ?, ?, ?, ?)
        ON CONFLICT (sharps_id) DO UPDATE SET patient_id = excluded.patient_id, capacity = excluded.capacity,
            issued_on = excluded.issued_on, returned_on = excluded.returned_on, written_off_on = excluded.written_off_on,
            container_class = excluded.container_class;
        """))
        .Bind(container.Id).Bind(container.PatientId).Bind(container.Capacity).Bind(container.IssuedOn).Bind(container.ReturnedOn)
        .Bind(container.WrittenOffOn).Bind(container.ContainerClass).Run();

    /// <summary>The last place that a fact has; 0: there are no facts.</summary>
    public long LastFactPlace() => _statements.Prepare("SELECT max(rowid) FROM facts;").FindNumber();

    /// <summary>The fact of an id; null: not on record.</summary>
    public FactOnRecord? FindFact(string id) => (_findFact ??= _statements.Prepare($"SELECT {FactColumns} FROM facts WHERE fact_id = ?;"))
        .Bind(id)
        .Find(row => new FactOnRecord(ReadFact(row), row.Long(14)));

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
            days_supply, note, recorded_at, recorded_by)
        VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?);
        """))
        .Bind(place).Bind(fact.Id).Bind(fact.CourseId).Bind(Kebab.Of(fact.Kind)).Bind(fact.On).Bind(fact.ProductId).Bind(fact.Containers)
        .Bind(fact.Volume?.Nanolitres).Bind(fact.ExpiresOn).Bind(fact.Lot).Bind(fact.Until).Bind(fact.OpenedOn).Bind(fact.Step)
        .Bind(fact.DaysSupply).Bind(fact.Note).Bind(recordedAt).Bind(recordedBy).Run();
    }

    private static Fact ReadFact(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        CourseId = row.Text(1),
        Kind = Columns.Member<FactKind>(row.Text(2)),
        On = row.Date(3),
        ProductId = row.TextOrNull(4),
        Containers = row.WholeOrNull(5),
        Volume = row.VolumeOrNull(6),
        ExpiresOn = row.DateOrNull(7),
        Lot = row.TextOrNull(8),
        Until = row.DateOrNull(9),
        OpenedOn = row.DateOrNull(10),
        Step = row.WholeOrNull(11),
        DaysSupply = row.WholeOrNull(12),
        Note = row.TextOrNull(13),
    };

    private static Course ReadCourse(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        PatientId = row.Text(1),
        StartedOn = row.Date(2),
        DeviceId = row.TextOrNull(3),
        Expelled = new Volume(row.Long(4)),
        FillDays = row.WholeOrNull(5),
        EarlyFillPercent = row.WholeOrNull(6),
    };

    private static Prescription ReadPrescription(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        CourseId = row.Text(1),
        IssuedOn = row.Date(2),
        RefillsAuthorized = row.Whole(3),
        ValidThrough = row.DateOrNull(4),
        Schedule = row.WholeOrNull(5),
        Prescriber = row.TextOrNull(6),
        PrescriberPhone = row.TextOrNull(7),
    };

    private static SharpsContainer ReadSharps(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        PatientId = row.Text(1),
        Capacity = row.Whole(2),
        IssuedOn = row.Date(3),
        ReturnedOn = row.DateOrNull(4),
        WrittenOffOn = row.DateOrNull(5),
        ContainerClass = row.TextOrNull(6),
    };

    private static Patient ReadPatient(PreparedStatement row) => new()
    {
        Id = row.Text(0),
        Name = row.Text(1),
        SiteId = row.Text(2),
        BornOn = row.DateOrNull(3),
        Phone = row.TextOrNull(4),
        Email = row.TextOrNull(5),
        EmailAgreedOn = row.DateOrNull(6),
        EmailOptedOutOn = row.DateOrNull(7),
        Status = Columns.Member<PatientStatus>(row.Text(8)),
        Language = Columns.Member<Language>(row.Text(9)),
        TimeZone = row.TextOrNull(10),
        Handover = Columns.Member<Handover>(row.Text(11)),
    };

    private static Step ReadStep(PreparedStatement row) => new()
    {
        CourseId = row.Text(0),
        Ladder = row.Whole(1),
        Number = row.Whole(2),
        ProductId = row.Text(3),
        Doses = Columns.Amounts(row.Text(4)),
        EveryDays = row.Whole(5),
        DoseDays = row.WholeOrNull(6),
        NeedsCheck = row.Whole(7) != 0,
        DeviceId = row.TextOrNull(8),
        Expelled = row.VolumeOrNull(9),
    };
}
