using NodaTime;

namespace RefillPlanner.Service.Demo;

/// <summary>The invented patients. A patient bears the number of the first of their courses.</summary>
internal static class DemoPatients
{
    private static readonly DemoPatient[] All =
    [
        new(101, "Alder Fictus"),
        new(102, "Marl Quillfeather"),
        new(103, "Chisel Fernsworth"),
        new(104, "Drizzle Oakenshaw"),
        new(105, "Olmo Ficticio") { Language = "es" },
        new(106, "Trowel Hazelby") { OptedOut = true },
        new(107, "Gale Thistlewick", DemoSites.Sagebrush),
        new(108, "Mallet Rowanry"),
        new(109, "Frost Birchquill"),
        new(110, "Plumb Larchmere") { Agreed = false },
        new(112, "Brook Alderwicket") { Agreed = false },
        new(201, "Sleet Willowmock"),
        new(202, "Rasp Cedarling", DemoSites.Sagebrush),
        new(203, "Haze Elderwand"),
        new(204, "Anvil Maplethorn"),
        new(205, "Squall Junipersby", DemoSites.Sagebrush),
        new(206, "Awl Sprucewater"),
        new(207, "Breeze Hornbeamly"),
        new(208, "Llovizna Sauceverde", DemoSites.Sagebrush) { Language = "es" },
        new(209, "Gimlet Aspenfield") { Ships = true },
        new(301, "Dew Poplarton", DemoSites.Sagebrush),
        new(302, "Pliers Ashgrove-Mock"),
        new(303, "Thunder Yewbrook"),
        new(304, "Spokeshave Lindenfall", DemoSites.Sagebrush),
        new(305, "Mist Sycamoreby") { HasEmail = false },
        new(306, "Hammer Cypressa"),
        new(307, "Hail Tamarackson", DemoSites.Sagebrush),
        new(401, "Bradawl Hemlocke"),
        new(402, "Rainbow Firkin", DemoSites.Sagebrush),
        new(403, "Jigsaw Beechnutt"),
        new(404, "Cloud Hickoryman"),
        new(405, "Ratchet Pinewell", DemoSites.Sagebrush),
        new(406, "Zephyr Mulberrick"),
        new(407, "Vise Walnutter") { Ships = true },
        new(408, "Blizzard Dogwoodie", DemoSites.Sagebrush) { Ships = true },
        new(409, "Sandpaper Olivetree"),
        new(410, "Monsoon Quincely"),
        new(411, "Level Tupeloski", DemoSites.Sagebrush) { TimeZone = "America/Phoenix" },
        new(412, "Sunbeam Catalpa"),
        new(501, "Wrench Sassafrass"),
        new(502, "Fog Magnolius"),
        new(503, "Bevel Redwoodhouse", DemoSites.Sagebrush),
        new(504, "Tempest Chestnutly"),
        new(505, "Clamp Baobabson", DemoSites.Sagebrush),
        new(506, "Gust Persimmonet"),
        new(508, "Lathe Acaciadottir"),
        new(509, "Icicle Buckthorne", DemoSites.Sagebrush) { Status = "in-care" },
    ];

    /// <summary>Adds them all.</summary>
    public static void AddTo(DemoTables tables, LocalDate today)
    {
        foreach (var patient in All)
        {
            tables.Patients.Add(
                ("patient_id", Id(patient.Number)),
                ("name", patient.Name),
                ("site_id", patient.SiteId),
                ("born_on", new LocalDate(1940 + patient.Number % 60, 1 + patient.Number % 12, 1 + patient.Number % 28)),
                ("phone", $"555-01{patient.Number % 100:00}"),
                ("email", patient.HasEmail ? $"patient.{patient.Number}@example.net" : null),
                ("email_agreed_on", patient.Agreed && patient.HasEmail ? today.PlusDays(-200) : null),
                ("email_opted_out_on", patient.OptedOut ? today.PlusDays(-15) : null),
                ("status", patient.Status),
                ("language", patient.Language),
                ("time_zone", patient.TimeZone),
                ("handover", patient.Ships ? "ship" : "pickup"));
        }
    }

    /// <summary>The id of a patient.</summary>
    public static string Id(int number) => $"PT-{number}";

    private sealed record DemoPatient(int Number, string Name, string SiteId = DemoSites.Lantern)
    {
        public bool HasEmail { get; init; } = true;

        public bool Agreed { get; init; } = true;

        public bool OptedOut { get; init; }

        public string Status { get; init; } = "active";

        public string Language { get; init; } = "en";

        public string? TimeZone { get; init; }

        public bool Ships { get; init; }
    }
}
