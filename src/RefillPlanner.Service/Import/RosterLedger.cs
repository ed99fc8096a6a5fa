using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>
/// What is on record with what has come through of the roster so far. Sites, products and devices are few and in memory; of the rest
/// one at a time is asked for, in the transaction of the import.
/// </summary>
/// <param name="store">What is on record.</param>
/// <param name="now">When facts are recorded.</param>
/// <param name="by">Who records them.</param>
internal sealed class RosterLedger(LedgerStore store, Instant now, string by)
{
    private readonly Lazy<Dictionary<string, Site>> _sites = new(() => store.ListSites().ToDictionary(site => site.Id));
    private readonly Lazy<Dictionary<string, Product>> _products = new(() => store.ListProducts().ToDictionary(product => product.Id));
    private readonly Lazy<Dictionary<string, Device>> _devices = new(() => store.ListDevices().ToDictionary(device => device.Id));

    // A fact of this roster takes the place of its line after all places before, so that its line is known without being kept.
    private readonly Lazy<long> _lastPlace = new(store.LastFactPlace);

    public Site? FindSite(string id) => _sites.Value.GetValueOrDefault(id);

    public Product? FindProduct(string id) => _products.Value.GetValueOrDefault(id);

    public Device? FindDevice(string id) => _devices.Value.GetValueOrDefault(id);

    public Patient? FindPatient(string id) => store.FindPatient(id);

    public Course? FindCourse(string id) => store.FindCourse(id);

    public Prescription? FindPrescription(string id) => store.FindPrescription(id);

    public SharpsContainer? FindSharps(string id) => store.FindSharps(id);

    /// <summary>The fact of an id, and the line of this roster on which it stands; null: it was on record before.</summary>
    public (Fact Fact, int? Line)? FindFact(string id) =>
        store.FindFact(id) is not FactOnRecord found ? null
        : (found.Fact, found.Place > _lastPlace.Value ? (int)(found.Place - _lastPlace.Value) : null);

    /// <summary>The products, by id.</summary>
    public IReadOnlyDictionary<string, Product> Products => _products.Value;

    /// <summary>The steps of all ladders of a course.</summary>
    public IReadOnlyList<Step> ListSteps(string courseId) => store.ListSteps(courseId);

    /// <summary>The counts and voids of a course.</summary>
    public IReadOnlyList<Fact> ListCountsAndVoids(string courseId) => store.ListCountsAndVoids(courseId);

    public void Put(Site site)
    {
        store.Put(site);
        _sites.Value[site.Id] = site;
    }

    public void Put(Product product)
    {
        store.Put(product);
        _products.Value[product.Id] = product;
    }

    public void Put(Device device)
    {
        store.Put(device);
        _devices.Value[device.Id] = device;
    }

    public void Put(Patient patient) => store.Put(patient);

    public void Put(Prescription prescription) => store.Put(prescription);

    public void Put(SharpsContainer container) => store.Put(container);

    public void Add(Course course) => store.Add(course);

    public void Add(Step step) => store.Add(step);

    /// <summary>Adds a fact.</summary>
    /// <param name="fact">The fact.</param>
    /// <param name="line">The line of the roster on which it stands; null: nobody will ask.</param>
    public void Add(Fact fact, int? line) => store.Add(fact, now, by, _lastPlace.Value + line);
}
