using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>All that is on record, by id, growing by the rows that were found good.</summary>
internal sealed class KnownRoster
{
    public Dictionary<string, Site> Sites { get; init; } = [];

    public Dictionary<string, Patient> Patients { get; init; } = [];

    public Dictionary<string, Product> Products { get; init; } = [];

    public Dictionary<string, Device> Devices { get; init; } = [];

    public Dictionary<string, Course> Courses { get; init; } = [];

    public Dictionary<(string Course, int Ladder), List<Step>> Ladders { get; init; } = [];

    public Dictionary<string, Prescription> Prescriptions { get; init; } = [];

    public Dictionary<string, Fact> Facts { get; init; } = [];

    public Dictionary<string, SharpsContainer> Sharps { get; init; } = [];

    /// <summary>Ids of facts that a recorded void takes back.</summary>
    public HashSet<string> Voided { get; init; } = [];

    /// <summary>Everything in a store.</summary>
    public static KnownRoster Read(LedgerStore ledger)
    {
        var facts = ledger.ListFacts();
        return new KnownRoster
        {
            Sites = ledger.ListSites().ToDictionary(site => site.Id),
            Patients = ledger.ListPatients().ToDictionary(patient => patient.Id),
            Products = ledger.ListProducts().ToDictionary(product => product.Id),
            Devices = ledger.ListDevices().ToDictionary(device => device.Id),
            Courses = ledger.ListCourses().ToDictionary(course => course.Id),
            Ladders = ledger.ListSteps().GroupBy(step => (step.CourseId, step.Ladder)).ToDictionary(group => group.Key, group => group.ToList()),
            Prescriptions = ledger.ListPrescriptions().ToDictionary(prescription => prescription.Id),
            Facts = facts.ToDictionary(fact => fact.Id),
            Sharps = ledger.ListSharps().ToDictionary(container => container.Id),
            Voided = [.. facts.Where(fact => fact.Kind == FactKind.Void).Select(fact => fact.Note!)],
        };
    }

    /// <summary>The families of all products in a course's steps.</summary>
    public HashSet<string> FamiliesOf(string courseId)
    {
        var families = new HashSet<string>();
        for (var ladder = 1; ladder <= CourseJudge.MostLadders; ladder++)
        {
            if (Ladders.TryGetValue((courseId, ladder), out var steps))
                families.UnionWith(steps.Select(step => Products[step.ProductId].Family));
        }

        return families;
    }
}
