using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Service.Import;

/// <summary>Sites to facts by id, in memory; over what is on record already, where that is given.</summary>
/// <param name="beneath">What is known below; null: nothing.</param>
public sealed class RosterLedger(IKnownLedger? beneath = null) : IKnownLedger
{
    private readonly Dictionary<string, Site> _sites = [];
    private readonly Dictionary<string, Patient> _patients = [];
    private readonly Dictionary<string, Product> _products = [];
    private readonly Dictionary<string, HashSet<string>> _sizes = [];
    private readonly Dictionary<string, Device> _devices = [];
    private readonly Dictionary<string, Course> _courses = [];
    private readonly Dictionary<string, Prescription> _prescriptions = [];
    private readonly Dictionary<string, SharpsContainer> _sharps = [];
    private readonly Dictionary<string, Fact> _facts = [];
    private readonly Dictionary<string, List<Step>> _steps = [];
    private readonly Dictionary<string, List<Fact>> _factsOfCourse = [];

    /// <inheritdoc/>
    public Site? FindSite(string id) => _sites.GetValueOrDefault(id) ?? beneath?.FindSite(id);

    /// <inheritdoc/>
    public Patient? FindPatient(string id) => _patients.GetValueOrDefault(id) ?? beneath?.FindPatient(id);

    /// <inheritdoc/>
    public Product? FindProduct(string id) => _products.GetValueOrDefault(id) ?? beneath?.FindProduct(id);

    /// <inheritdoc/>
    public Device? FindDevice(string id) => _devices.GetValueOrDefault(id) ?? beneath?.FindDevice(id);

    /// <inheritdoc/>
    public Course? FindCourse(string id) => _courses.GetValueOrDefault(id) ?? beneath?.FindCourse(id);

    /// <inheritdoc/>
    public Prescription? FindPrescription(string id) => _prescriptions.GetValueOrDefault(id) ?? beneath?.FindPrescription(id);

    /// <inheritdoc/>
    public SharpsContainer? FindSharps(string id) => _sharps.GetValueOrDefault(id) ?? beneath?.FindSharps(id);

    /// <inheritdoc/>
    public Fact? FindFact(string id) => _facts.GetValueOrDefault(id) ?? beneath?.FindFact(id);

    /// <inheritdoc/>
    public IReadOnlyList<Product> ListSizes(string productId) =>
    [
        .. (_sizes.GetValueOrDefault(productId) ?? []).Select(id => _products[id]).Where(product => product.SizeOf == productId),
        .. (beneath?.ListSizes(productId) ?? []).Where(product => !_products.ContainsKey(product.Id)),
    ];

    /// <inheritdoc/>
    public IReadOnlyList<Step> ListSteps(string courseId) =>
        [.. beneath?.ListSteps(courseId) ?? [], .. _steps.GetValueOrDefault(courseId) ?? []];

    /// <inheritdoc/>
    public IReadOnlyList<Fact> ListFacts(string courseId) =>
        [.. beneath?.ListFacts(courseId) ?? [], .. _factsOfCourse.GetValueOrDefault(courseId) ?? []];

    /// <summary>Adds or replaces a site.</summary>
    public void Put(Site site) => _sites[site.Id] = site;

    /// <summary>Adds or replaces a patient.</summary>
    public void Put(Patient patient) => _patients[patient.Id] = patient;

    /// <summary>Adds or replaces a product.</summary>
    public void Put(Product product)
    {
        _products[product.Id] = product;
        if (product.SizeOf is not string whole)
            return;
        if (!_sizes.TryGetValue(whole, out var sizes))
            _sizes.Add(whole, sizes = new HashSet<string>(System.StringComparer.Ordinal));
        sizes.Add(product.Id);
    }

    /// <summary>Adds or replaces a device.</summary>
    public void Put(Device device) => _devices[device.Id] = device;

    /// <summary>Adds or replaces a prescription.</summary>
    public void Put(Prescription prescription) => _prescriptions[prescription.Id] = prescription;

    /// <summary>Adds or replaces a sharps container.</summary>
    public void Put(SharpsContainer container) => _sharps[container.Id] = container;

    /// <summary>Adds a course.</summary>
    public void Add(Course course) => _courses.Add(course.Id, course);

    /// <summary>Adds a step.</summary>
    public void Add(Step step)
    {
        if (!_steps.TryGetValue(step.CourseId, out var steps))
            _steps.Add(step.CourseId, steps = []);
        steps.Add(step);
    }

    /// <summary>Adds a fact.</summary>
    public void Add(Fact fact)
    {
        _facts.Add(fact.Id, fact);
        if (!_factsOfCourse.TryGetValue(fact.CourseId, out var facts))
            _factsOfCourse.Add(fact.CourseId, facts = []);
        facts.Add(fact);
    }
}
