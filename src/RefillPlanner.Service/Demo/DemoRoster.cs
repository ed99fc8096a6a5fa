using System.Collections.Generic;
using NodaTime;

namespace RefillPlanner.Service.Demo;

/// <summary>
/// An invented pharmacy as a roster folder, built around a date so that every situation that the program knows can be seen on it.
/// The same date gives the same texts.
/// </summary>
public static class DemoRoster
{
    /// <summary>The roster's files: name to content, in the format that the import reads.</summary>
    /// <param name="today">The day on which the demo is looked at, in the zones of its sites.</param>
    public static IReadOnlyDictionary<string, string> Build(LocalDate today)
    {
        var tables = new DemoTables();
        DemoSites.AddTo(tables, today);
        DemoProducts.AddTo(tables);
        DemoDevices.AddTo(tables);
        DemoPatients.AddTo(tables, today);
        DemoSharps.AddTo(tables, today);
        var demo = new DemoDesk(tables, today);
        DemoDueCourses.AddTo(demo);
        DemoDrawCourses.AddTo(demo);
        DemoStepUpCourses.AddTo(demo);
        DemoRecordCourses.AddTo(demo);
        DemoPlanningCourses.AddTo(demo);
        return tables.Write();
    }
}
