using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>Courses of a large roster in memory, as planning sees them.</summary>
internal static class RosterSnapshots
{
    private static readonly ILookup<string, Product> Families = RosterCatalogue.Products.ToLookup(product => product.Family);
    private static readonly Dictionary<string, Product> Products = RosterCatalogue.Products.ToDictionary(product => product.Id);
    private static readonly Dictionary<string, Device> Devices = RosterCatalogue.Devices.ToDictionary(device => device.Id);

    /// <summary>All courses, in order of id.</summary>
    public static IEnumerable<CourseSnapshot> List(LargeRoster roster)
    {
        var sites = roster.ListSites().ToDictionary(site => site.Id);
        return roster.ListPatients().SelectMany(patient => List(patient, sites[patient.Patient.SiteId]));
    }

    /// <summary>The courses of a patient.</summary>
    public static IReadOnlyList<CourseSnapshot> List(RosterPatient patient, Site site) =>
    [
        .. patient.Courses.Select(course => new CourseSnapshot
        {
            Course = course.Course,
            Patient = patient.Patient,
            Site = site,
            Steps = course.Steps,
            Products = course.Steps.Select(step => Products[step.ProductId].Family).Distinct().SelectMany(family => Families[family]).ToDictionary(product => product.Id),
            Devices = course.Course.DeviceId is string device ? new Dictionary<string, Device> { [device] = Devices[device] } : [],
            Facts = course.Facts,
            Prescriptions = course.Prescriptions,
        }),
    ];
}
