using System;
using System.Collections.Frozen;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>
/// Sites, products and devices: few, read once and shared by all patients, also by several threads. The products of a course are those of
/// the families of its steps and facts; courses with the same families share one set.
/// </summary>
public sealed class Reference
{
    private readonly Dictionary<string, IReadOnlyDictionary<string, Product>> _sets = new(StringComparer.Ordinal);

    internal Reference(long version, IEnumerable<Site> sites, IEnumerable<Product> products, IEnumerable<Device> devices)
    {
        Version = version;
        Sites = sites.ToFrozenDictionary(site => site.Id);
        Products = products.ToFrozenDictionary(product => product.Id);
        Devices = devices.ToFrozenDictionary(device => device.Id);
    }

    /// <summary>Grows with each change of any of them.</summary>
    public long Version { get; }

    /// <summary>The sites, by id.</summary>
    public IReadOnlyDictionary<string, Site> Sites { get; }

    /// <summary>The products, by id.</summary>
    public IReadOnlyDictionary<string, Product> Products { get; }

    /// <summary>The devices, by id.</summary>
    public IReadOnlyDictionary<string, Device> Devices { get; }

    /// <summary>A course with what it refers to.</summary>
    internal CourseSnapshot Snapshot(Course course, Patient patient, Step[] steps, Fact[] facts, Prescription[] prescriptions) => new()
    {
        Course = course,
        Patient = patient,
        Site = Sites[patient.SiteId],
        Steps = steps,
        Products = SetOf(steps, facts),
        Devices = Devices,
        Facts = facts,
        Prescriptions = prescriptions,
    };

    private IReadOnlyDictionary<string, Product> SetOf(Step[] steps, Fact[] facts)
    {
        var first = Products[steps[0].ProductId].Family;
        List<string>? more = null;
        foreach (var step in steps)
            Add(step.ProductId);
        foreach (var fact in facts)
            Add(fact.ProductId);
        if (more is null)
            return Find(first, [first]);
        more.Add(first);
        more.Sort(StringComparer.Ordinal);
        return Find(string.Join('\n', more), more);

        void Add(string? productId)
        {
            if (productId is not null && Products[productId].Family is var family && !string.Equals(family, first, StringComparison.Ordinal) && more?.Contains(family) != true)
                (more ??= []).Add(family);
        }
    }

    private IReadOnlyDictionary<string, Product> Find(string key, IReadOnlyList<string> families)
    {
        lock (_sets)
        {
            if (!_sets.TryGetValue(key, out var set))
                _sets.Add(key, set = Products.Values.Where(product => families.Contains(product.Family)).ToFrozenDictionary(product => product.Id));
            return set;
        }
    }
}
