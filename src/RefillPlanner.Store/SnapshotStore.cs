using System;
using System.Collections.Frozen;
using System.Collections.Generic;
using System.Data;
using System.Linq;
using Dapper;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>All that is on record about one patient, read together.</summary>
/// <param name="Patient">The patient.</param>
/// <param name="Courses">The courses, in order of id.</param>
/// <param name="Sharps">The sharps containers, in order of id.</param>
public sealed record PatientSnapshot(Patient Patient, IReadOnlyList<CourseSnapshot> Courses, IReadOnlyList<SharpsContainer> Sharps);

/// <summary>What is on record, put together patient by patient.</summary>
public sealed class SnapshotStore(IDbConnection connection, IDbTransaction transaction, LedgerStore ledger)
{
    private Reference? _reference;

    /// <summary>Ids of all patients with a course, in order.</summary>
    public IReadOnlyList<string> ListPatientIds() =>
        [.. connection.Query<string>("SELECT DISTINCT patient_id FROM courses ORDER BY patient_id;", transaction: transaction)];

    /// <summary>The patient of a course; null: the course is not on record.</summary>
    public string? FindPatientId(string courseId) => connection.ExecuteScalar<string?>(
        "SELECT patient_id FROM courses WHERE course_id = @courseId;", new { courseId }, transaction);

    /// <summary>One patient; null: not on record, or without a course.</summary>
    public PatientSnapshot? Find(string patientId) => List(patientId).FirstOrDefault();

    /// <summary>Every patient with a course, in order of id, read in a few ordered passes.</summary>
    public IEnumerable<PatientSnapshot> List() => List(null);

    private IEnumerable<PatientSnapshot> List(string? patientId)
    {
        _reference ??= new Reference(
            ledger.ListSites().ToFrozenDictionary(site => site.Id),
            ledger.ListProducts().ToFrozenDictionary(product => product.Id),
            ledger.ListDevices().ToFrozenDictionary(device => device.Id));
        var only = patientId is null ? string.Empty : "WHERE patient_id = @patientId";
        var ofCourses = patientId is null ? string.Empty : "WHERE course_id IN (SELECT course_id FROM courses WHERE patient_id = @patientId)";
        var parameters = new { patientId };
        var patients = connection.Query<PatientRow>($"SELECT {LedgerStore.PatientColumns} FROM patients {only} ORDER BY patient_id;", parameters, transaction);
        var courses = connection.Query<Course>($"SELECT {LedgerStore.CourseColumns} FROM courses {only} ORDER BY course_id;", parameters, transaction).ToLookup(course => course.PatientId);
        var steps = connection.Query<StepRow>($"SELECT {LedgerStore.StepColumns} FROM steps {ofCourses} ORDER BY course_id, ladder, step;", parameters, transaction).ToLookup(step => step.CourseId, step => step.ToStep());
        var facts = connection.Query<FactRow>($"SELECT {LedgerStore.FactColumns} FROM facts {ofCourses} ORDER BY course_id, on_date, fact_id;", parameters, transaction).ToLookup(fact => fact.CourseId, fact => fact.ToFact());
        var prescriptions = connection.Query<Prescription>($"SELECT {LedgerStore.PrescriptionColumns} FROM prescriptions {ofCourses} ORDER BY rx_id;", parameters, transaction).ToLookup(prescription => prescription.CourseId);
        var sharps = connection.Query<SharpsContainer>($"SELECT {LedgerStore.SharpsColumns} FROM sharps {only} ORDER BY sharps_id;", parameters, transaction).ToLookup(container => container.PatientId);
        foreach (var patient in patients.Select(row => row.ToPatient()).Where(patient => courses.Contains(patient.Id)))
        {
            yield return new PatientSnapshot(
                patient,
                [.. courses[patient.Id].Select(course => _reference.Snapshot(course, patient, [.. steps[course.Id]], [.. facts[course.Id]], [.. prescriptions[course.Id]]))],
                [.. sharps[patient.Id]]);
        }
    }

    private sealed class Reference(FrozenDictionary<string, Site> sites, FrozenDictionary<string, Product> products, FrozenDictionary<string, Device> devices)
    {
        private readonly ILookup<string, Product> _families = products.Values.ToLookup(product => product.Family);

        public CourseSnapshot Snapshot(Course course, Patient patient, Step[] steps, Fact[] facts, Prescription[] prescriptions)
        {
            var families = steps.Select(step => step.ProductId)
                .Concat(facts.Select(fact => fact.ProductId).OfType<string>())
                .Select(id => products[id].Family)
                .Distinct();
            return new CourseSnapshot
            {
                Course = course,
                Patient = patient,
                Site = sites[patient.SiteId],
                Steps = steps,
                Products = families.SelectMany(family => _families[family]).ToDictionary(product => product.Id),
                Devices = steps.Select(step => step.DeviceId).Append(course.DeviceId).OfType<string>().Distinct().ToDictionary(id => id, id => devices[id]),
                Facts = facts,
                Prescriptions = prescriptions,
            };
        }
    }
}
