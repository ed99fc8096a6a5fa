using NodaTime;

namespace RefillPlanner.Service.Demo;

/// <summary>The sharps containers of the demo. Dates are days from today.</summary>
internal static class DemoSharps
{
    private static readonly int[] WithOrdinaryContainer =
    [
        101, 102, 103, 105, 106, 107, 108, 110, 112, 201, 202, 203, 204, 205, 206, 207, 208, 209, 301, 302, 303, 304, 305, 306, 307,
        401, 402, 403, 405, 406, 407, 408, 409, 410, 411, 412, 501, 502, 503, 504, 505, 508, 509,
    ];

    /// <summary>Adds them all. Patient 404 has none on record.</summary>
    public static void AddTo(DemoTables tables, LocalDate today)
    {
        foreach (var patient in WithOrdinaryContainer)
            Add(patient, capacity: 120, issued: -30);

        // Nearly full: four injections a day made 183 by this morning; the fill line of 213 comes in a week, so the notice is due today.
        Add(104, capacity: 285, issued: -46);

        // Overdue: two injections a day brought it to the fill line of 75 about two months ago.
        Add(109, capacity: 100, issued: -101);

        // Returned, and the next one is in use.
        Add(506, capacity: 120, issued: -120, returned: -40);
        Add(506, capacity: 120, issued: -40, number: 2);

        // A hazardous medicine's sharps go into a container of their own.
        Add(508, capacity: 60, issued: -16, number: 2, containerClass: "hazardous");

        void Add(int patient, int capacity, int issued, int? returned = null, int number = 1, string? containerClass = null) => tables.Sharps.Add(
            ("sharps_id", $"SH-{patient}-{number}"),
            ("patient_id", DemoPatients.Id(patient)),
            ("capacity_sharps", capacity),
            ("issued_on", today.PlusDays(issued)),
            ("returned_on", returned is int back ? today.PlusDays(back) : null),
            ("container_class", containerClass));
    }
}
