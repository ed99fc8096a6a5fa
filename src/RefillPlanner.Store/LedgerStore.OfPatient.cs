using System.Collections.Generic;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <content>What is on record about one patient, by prepared statements.</content>
public sealed partial class LedgerStore
{
    private PreparedStatement? _listCourses;
    private PreparedStatement? _listFacts;
    private PreparedStatement? _listPrescriptions;
    private PreparedStatement? _listSharps;

    /// <summary>The courses of a patient, in order of id.</summary>
    public IReadOnlyList<Course> ListCourses(string patientId) => [.. (_listCourses ??= _statements.Prepare(
        $"SELECT {CourseColumns} FROM courses WHERE patient_id = ? ORDER BY course_id;"))
        .Bind(patientId).List(ReadCourse)];

    /// <summary>The facts of a course, in order of date and id.</summary>
    public IReadOnlyList<Fact> ListFacts(string courseId) => [.. (_listFacts ??= _statements.Prepare(
        $"SELECT {FactColumns} FROM facts WHERE course_id = ? ORDER BY on_date, fact_id;"))
        .Bind(courseId).List(ReadFact)];

    /// <summary>The prescriptions of a course, in order of id.</summary>
    public IReadOnlyList<Prescription> ListPrescriptions(string courseId) => [.. (_listPrescriptions ??= _statements.Prepare(
        $"SELECT {PrescriptionColumns} FROM prescriptions WHERE course_id = ? ORDER BY rx_id;"))
        .Bind(courseId).List(ReadPrescription)];

    /// <summary>The sharps containers of a patient, in order of id.</summary>
    public IReadOnlyList<SharpsContainer> ListSharps(string patientId) => [.. (_listSharps ??= _statements.Prepare(
        $"SELECT {SharpsColumns} FROM sharps WHERE patient_id = ? ORDER BY sharps_id;"))
        .Bind(patientId).List(ReadSharps)];
}
