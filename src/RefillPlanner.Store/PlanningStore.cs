using System;
using System.Collections.Generic;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>What was last worked out for a patient.</summary>
/// <param name="PatientId">The patient.</param>
/// <param name="SiteId">The patient's pharmacy.</param>
/// <param name="Record">What is on record, packed; empty: the row is damaged, and the patient is to be planned anew.</param>
/// <param name="Figures">What was found.</param>
/// <param name="ChangeOn">From this date on time alone may change it; null: it may not, as far as could be seen.</param>
public readonly record struct PlannedPatient(string PatientId, string SiteId, byte[] Record, byte[] Figures, LocalDate? ChangeOn);

/// <summary>A patient could not be planned.</summary>
/// <param name="PatientId">The patient; empty: all of them.</param>
/// <param name="Since">Since when.</param>
/// <param name="Reason">Why, for a person.</param>
public sealed record PlanningFailure(string PatientId, Instant Since, string Reason);

/// <summary>How far a planning of all patients has come.</summary>
/// <param name="Basis">What the last one that was finished stood on; empty: there was none.</param>
/// <param name="ComingBasis">What the one under way stands on; null: none is under way.</param>
/// <param name="DoneThrough">The last patient that the one under way is done with; null: none is under way.</param>
public sealed record PlanningBasis(string Basis, string? ComingBasis, string? DoneThrough);

/// <summary>What planning stands on, patient by patient: whom to plan anew, and what was last found.</summary>
public sealed class PlanningStore
{
    // How many columns are in the digest, which stands after them.
    private const int Digested = 5;

    /// <summary>The columns of what was worked out.</summary>
    internal const string Columns = "patient_id, site_id, record, figures, change_on, digest";

    private readonly Statements _statements;

    internal PlanningStore(Statements statements) => _statements = statements;

    /// <summary>Patients about whom something new is on record, in order of id.</summary>
    /// <param name="after">The patient before the first one; empty: from the beginning.</param>
    /// <param name="most">At most so many.</param>
    public IReadOnlyList<string> ListWanted(string after, int most) =>
        [.. _statements.For("SELECT patient_id FROM planning_wanted WHERE patient_id > ? ORDER BY patient_id LIMIT ?;").Bind(after).Bind(most).List(row => row.Text(0))];

    /// <summary>Patients of a site whose plan may change by a date, in order of id.</summary>
    public IReadOnlyList<string> ListChangingBy(string siteId, LocalDate date) =>
        [.. _statements.For("SELECT patient_id FROM planning WHERE site_id = ? AND change_on <= ? ORDER BY patient_id;").Bind(siteId).Bind(date).List(row => row.Text(0))];

    /// <summary>How many patients something new is on record about.</summary>
    public long CountWanted() => _statements.For("SELECT count(*) FROM planning_wanted;").FindNumber();

    /// <summary>How many patients were planned.</summary>
    public long CountPlanned() => _statements.For("SELECT count(*) FROM planning;").FindNumber();

    /// <summary>Keeps what was worked out for a patient; nothing new is on record about it any more.</summary>
    /// <param name="snapshot">The patient.</param>
    /// <param name="figures">What was found.</param>
    /// <param name="changeOn">From when on time alone may change it; null: not in sight.</param>
    public void Put(PatientSnapshot snapshot, ReadOnlySpan<byte> figures, LocalDate? changeOn)
    {
        _statements.For("""
            INSERT INTO planning (patient_id, site_id, record, figures, change_on, digest) VALUES (?, ?, ?, ?, ?, ?)
            ON CONFLICT (patient_id) DO UPDATE SET site_id = excluded.site_id, record = excluded.record, figures = excluded.figures,
                change_on = excluded.change_on, digest = excluded.digest;
            """).BeginDigest()
            .Bind(snapshot.Patient.Id).Bind(snapshot.Patient.SiteId).Bind(PlanningRecord.Pack(snapshot)).Bind(figures).Bind(changeOn).BindDigest().Run();
        Forget(snapshot.Patient.Id);
    }

    /// <summary>Nothing is to be planned about a patient who has no course.</summary>
    public void Forget(string patientId)
    {
        _statements.For("DELETE FROM planning_wanted WHERE patient_id = ?;").Bind(patientId).Run();
        EndFailure(patientId);
    }

    /// <summary>What was worked out for each patient after one, in order of id.</summary>
    /// <param name="after">The patient before the first one; empty: from the beginning.</param>
    /// <param name="most">At most so many.</param>
    public PlannedPatient[] ListAfter(string after, int most) =>
        [.. _statements.For($"SELECT {Columns} FROM planning WHERE patient_id > ? ORDER BY patient_id LIMIT ?;").Bind(after).Bind(most)
            .List(row => row.IsWhole(Digested)
                ? new PlannedPatient(row.Text(0), row.Text(1), row.Bytes(2), row.Bytes(3), row.DateOrNull(4))
                : new PlannedPatient(row.Text(0), string.Empty, [], [], ChangeOn: null))];

    /// <summary>Notes that a patient could not be planned; the staff of its site see it on the list until it is.</summary>
    /// <param name="patientId">The patient; empty: all of them.</param>
    /// <param name="since">When that was found; a failure on record keeps its own.</param>
    /// <param name="reason">Why, for a person.</param>
    public void PutFailure(string patientId, Instant since, string reason) => _statements.For("""
        INSERT INTO planning_failures (patient_id, site_id, since, reason) VALUES (?1, (SELECT site_id FROM planning WHERE patient_id = ?1), ?2, ?3)
        ON CONFLICT (patient_id) DO UPDATE SET reason = excluded.reason;
        """).Bind(patientId).Bind(since).Bind(reason).Run();

    /// <summary>A patient was planned, or all were.</summary>
    public void EndFailure(string patientId) => _statements.For("DELETE FROM planning_failures WHERE patient_id = ?;").Bind(patientId).Run();

    /// <summary>Who of a site could not be planned, in order of id; those whose site is not known are on the list of each.</summary>
    public IReadOnlyList<PlanningFailure> ListFailures(string siteId) =>
        [.. _statements.For("SELECT patient_id, since, reason FROM planning_failures WHERE site_id = ? OR site_id IS NULL ORDER BY patient_id;").Bind(siteId)
            .List(row => new PlanningFailure(row.Text(0), row.Moment(1), row.Text(2)))];

    /// <summary>A patient as packed.</summary>
    /// <param name="planned">What was worked out.</param>
    /// <param name="reference">Sites, products and devices.</param>
    /// <returns>Null: the record is of an older form.</returns>
    public static PatientSnapshot? Unpack(in PlannedPatient planned, Reference reference) =>
        PlanningRecord.IsReadable(planned.Record) ? PlanningRecord.Unpack(planned.Record, reference) : null;

    /// <summary>How far a planning of all patients has come.</summary>
    public PlanningBasis FindBasis() => _statements.For("SELECT basis, coming_basis, done_through FROM planning_basis;")
        .Find(row => new PlanningBasis(row.Text(0), row.TextOrNull(1), row.TextOrNull(2)))!;

    /// <summary>A planning of all patients has come so far.</summary>
    public void SetDoneThrough(string comingBasis, string patientId) =>
        _statements.For("UPDATE planning_basis SET coming_basis = ?, done_through = ?;").Bind(comingBasis).Bind(patientId).Run();

    /// <summary>A planning of all patients is finished.</summary>
    public void SetBasis(string basis) => _statements.For("UPDATE planning_basis SET basis = ?, coming_basis = NULL, done_through = NULL;").Bind(basis).Run();
}
