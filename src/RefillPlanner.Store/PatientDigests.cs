using System;
using System.Collections.Generic;
using System.Linq;
using System.Runtime.InteropServices;

namespace RefillPlanner.Store;

/// <summary>
/// Of each patient, the digests of all rows that are about it, combined: a row that is gone, or one too many, is noticed by who reads the patient.
/// What a transaction adds is gathered and written once a patient before its end.
/// </summary>
internal sealed class PatientDigests(Statements statements)
{
    // Courses and patients whose rows were added, before they are written: an import of any size takes no more memory.
    private const int MostGathered = 20_000;
    private readonly Dictionary<string, long> _ofPatients = new(StringComparer.Ordinal);
    private readonly Dictionary<string, long> _ofCourses = new(StringComparer.Ordinal);

    /// <summary>The combined digest of a patient; null: none of its rows was ever written.</summary>
    public long? Find(string patientId)
    {
        Write();
        return FindWritten(patientId);
    }

    /// <summary>A row about a patient is there now, or is no longer.</summary>
    public void Change(string patientId, long digest) => Gather(_ofPatients, patientId, digest);

    /// <summary>A row about a course is there now, or is no longer.</summary>
    public void ChangeOfCourse(string courseId, long digest) => Gather(_ofCourses, courseId, digest);

    /// <summary>Writes what was gathered.</summary>
    public void Write()
    {
        foreach (var (courseId, digest) in _ofCourses)
        {
            var patientId = statements.For("SELECT patient_id FROM courses WHERE course_id = ?;").Bind(courseId).Find(row => row.Text(0))
                ?? throw new DamagedRowException("courses", courseId);
            Combine(_ofPatients, patientId, digest);
        }

        foreach (var (patientId, digest) in _ofPatients.Where(change => change.Value != 0).OrderBy(change => change.Key, StringComparer.Ordinal))
        {
            statements.For("INSERT INTO patient_digests (patient_id, digest) VALUES (?1, ?2) ON CONFLICT (patient_id) DO UPDATE SET digest = excluded.digest;")
                .Bind(patientId).Bind(RowDigest.Combine(FindWritten(patientId) ?? 0, digest)).Run();
        }

        _ofCourses.Clear();
        _ofPatients.Clear();
    }

    private long? FindWritten(string patientId) =>
        statements.For("SELECT digest FROM patient_digests WHERE patient_id = ?;").Bind(patientId).List(row => (long?)row.Long(0)).FirstOrDefault();

    private void Gather(Dictionary<string, long> gathered, string id, long digest)
    {
        if (_ofCourses.Count + _ofPatients.Count >= MostGathered)
            Write();
        Combine(gathered, id, digest);
    }

    private static void Combine(Dictionary<string, long> gathered, string id, long digest)
    {
        ref var known = ref CollectionsMarshal.GetValueRefOrAddDefault(gathered, id, out _);
        known = RowDigest.Combine(known, digest);
    }
}
