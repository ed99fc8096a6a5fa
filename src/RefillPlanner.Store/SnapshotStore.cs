using System.Collections.Generic;
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

    /// <summary>Ids of all patients with a course, in order, one by one as they are asked for.</summary>
    public IEnumerable<string> ListPatientIds() =>
        _statements.Prepare("SELECT DISTINCT patient_id FROM courses ORDER BY patient_id;").List(row => row.Text(0));

    /// <summary>The patient of a course; null: the course is not on record.</summary>
    public string? FindPatientId(string courseId) =>
        (_findPatientId ??= _statements.Prepare("SELECT patient_id FROM courses WHERE course_id = ?;")).Bind(courseId).Find(row => row.Text(0));

    /// <summary>Sites, products and devices.</summary>
    public Reference ReadReference()
    {
        var version = (_version ??= _statements.Prepare("SELECT version FROM reference_version;")).FindNumber();
        if (_reference?.Version == version)
            return _reference;
        if (_database.Reference is Reference shared && shared.Version == version)
            return _reference = shared;
        _reference = new Reference(version, _ledger.ListSites(), _ledger.ListProducts(), _ledger.ListDevices());

        // What a writing transaction sees may yet be taken back.
        if (!_isWriting)
            _database.Reference = _reference;
        return _reference;
    }

    /// <summary>One patient; null: not on record, or without a course.</summary>
    public PatientSnapshot? Find(string patientId)
    {
        var courses = _ledger.ListCourses(patientId);
        if (courses.Count == 0 || _ledger.FindPatient(patientId) is not Patient patient)
            return null;
        var reference = ReadReference();
        var snapshots = new CourseSnapshot[courses.Count];
        for (var index = 0; index < snapshots.Length; index++)
        {
            var course = courses[index];
            snapshots[index] = reference.Snapshot(course, patient, [.. _ledger.ListSteps(course.Id)], _signatures.AddTo(_ledger.ListFacts(course.Id)), [.. _ledger.ListPrescriptions(course.Id)]);
        }

        return new PatientSnapshot(patient, snapshots, _ledger.ListSharps(patientId));
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
}
