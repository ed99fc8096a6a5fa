using System.Collections.Generic;
using Microsoft.Data.Sqlite;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>All that is on record about one patient, read together.</summary>
/// <param name="Patient">The patient.</param>
/// <param name="Courses">The courses, in order of id; at least one.</param>
/// <param name="Sharps">The sharps containers, in order of id.</param>
public sealed record PatientSnapshot(Patient Patient, IReadOnlyList<CourseSnapshot> Courses, IReadOnlyList<SharpsContainer> Sharps);

/// <summary>What is on record, put together patient by patient.</summary>
public sealed class SnapshotStore
{
    private readonly Statements _statements;
    private readonly LedgerStore _ledger;
    private readonly SignatureStore _signatures;
    private readonly PlannerDatabase _database;
    private readonly bool _isWriting;
    private Reference? _reference;
    private PreparedStatement? _findPatientId;
    private PreparedStatement? _version;

    internal SnapshotStore(Statements statements, LedgerStore ledger, SignatureStore signatures, PlannerDatabase database, bool isWriting) =>
        (_statements, _ledger, _signatures, _database, _isWriting) = (statements, ledger, signatures, database, isWriting);

    /// <summary>
    /// Ids of all patients that have a course or should have one, in order, one by one as they are asked for. Two tables are read side by side: one
    /// that has lost a patient does not hide it.
    /// </summary>
    public IEnumerable<string> ListPatientIds()
    {
        using var ofCourses = _statements.Prepare("SELECT DISTINCT patient_id FROM courses ORDER BY patient_id;").List(row => row.Text(0)).GetEnumerator();
        using var known = _statements.Prepare("SELECT patient_id FROM patient_digests ORDER BY patient_id;").List(row => row.Text(0)).GetEnumerator();
        var (hasCourse, isKnown) = (ofCourses.MoveNext(), known.MoveNext());
        while (hasCourse || isKnown)
        {
            var order = !isKnown ? -1 : !hasCourse ? 1 : string.CompareOrdinal(ofCourses.Current, known.Current);
            yield return order <= 0 ? ofCourses.Current : known.Current;
            hasCourse = order <= 0 ? ofCourses.MoveNext() : hasCourse;
            isKnown = order >= 0 ? known.MoveNext() : isKnown;
        }
    }

    /// <summary>The patient of a course; null: the course is not on record.</summary>
    public string? FindPatientId(string courseId) =>
        (_findPatientId ??= _statements.Prepare("SELECT patient_id FROM courses WHERE course_id = ?;")).Bind(courseId).Find(row => row.Text(0));

    /// <summary>Sites, products and devices.</summary>
    /// <exception cref="DamagedRowException">One of them is not as it was written, or missing: nothing can be worked out.</exception>
    public Reference ReadReference()
    {
        var version = (_version ??= _statements.Prepare("SELECT version FROM reference_version;")).FindNumber();
        if (_reference?.Version == version)
            return _reference;
        if (_database.Reference is Reference shared && shared.Version == version)
            return _reference = shared;
        _ledger.BeginCombining();
        var reference = new Reference(version, _ledger.ListSites(), _ledger.ListProducts(), _ledger.ListDevices());
        if (!_ledger.AreAllReferences())
            throw DamagedRowException.Incomplete("sites, products and devices", "this installation");
        _reference = reference;

        // What a writing transaction sees may yet be taken back: it is kept when it is durable.
        if (!_isWriting)
            _database.Reference = _reference;
        return _reference;
    }

    /// <summary>The transaction is durable: the next ones need not read sites, products and devices again while their version is the same.</summary>
    internal void Keep()
    {
        if (_isWriting && _reference is not null)
            _database.Reference = _reference;
    }

    /// <summary>One patient; null: not on record, or without a course.</summary>
    /// <exception cref="DamagedRowException">Something on record about the patient is not as it was written, or missing.</exception>
    public PatientSnapshot? Find(string patientId)
    {
        var reference = ReadReference();
        try
        {
            return FindWhole(patientId, reference);
        }
        catch (SqliteException corrupt) when (DamagedRowException.IsDamage(corrupt))
        {
            throw DamagedRowException.Incomplete("the ledger", patientId);
        }
    }

    /// <summary>Every patient with a course, in order of id, one by one as they are asked for.</summary>
    public IEnumerable<PatientSnapshot> List()
    {
        foreach (var patientId in ListPatientIds())
        {
            if (Find(patientId) is PatientSnapshot snapshot)
                yield return snapshot;
        }
    }

    // The rows are put together only when they are all that there should be.
    private PatientSnapshot? FindWhole(string patientId, Reference reference)
    {
        _ledger.BeginCombining();
        var patient = _ledger.FindPatient(patientId);
        var courses = _ledger.ListCourses(patientId);
        var rows = new (Step[] Steps, Fact[] Facts, Prescription[] Prescriptions)[courses.Count];
        for (var index = 0; index < rows.Length; index++)
        {
            var courseId = courses[index].Id;
            rows[index] = ([.. _ledger.ListSteps(courseId)], _signatures.AddTo(_ledger.ListFacts(courseId)), [.. _ledger.ListPrescriptions(courseId)]);
        }

        var sharps = _ledger.ListSharps(patientId);
        if (!_ledger.AreAllOf(patientId))
            throw DamagedRowException.Incomplete("the ledger", patientId);
        if (patient is null || courses.Count == 0)
            return null;
        var snapshots = new CourseSnapshot[courses.Count];
        for (var index = 0; index < snapshots.Length; index++)
            snapshots[index] = reference.Snapshot(courses[index], patient, rows[index].Steps, rows[index].Facts, rows[index].Prescriptions);
        return new PatientSnapshot(patient, snapshots, sharps);
    }
}
