namespace RefillPlanner.Service.Demo;

/// <summary>The syringes of the demo, by id.</summary>
internal static class DemoDevices
{
    /// <summary>1 mL, marked in units.</summary>
    public const string Units100 = "D-U100";

    /// <summary>0.5 mL, marked in units.</summary>
    public const string Units50 = "D-U50";

    /// <summary>0.3 mL, marked in units, half-unit lines.</summary>
    public const string Units30 = "D-U30";

    /// <summary>1 mL, marked in mL.</summary>
    public const string OneMl = "D-ML1";

    /// <summary>1 mL with a removable needle, in which much stays.</summary>
    public const string LongNeedle = "D-ML1-LONG";

    /// <summary>3 mL with coarse lines; a second needle draws up.</summary>
    public const string ThreeMl = "D-ML3";

    /// <summary>Adds them all.</summary>
    public static void AddTo(DemoTables tables)
    {
        Add(tables, Units100, "1 mL U-100 syringe", 1, 0.01m, deadSpace: 0.002m, unitsPerMl: 100);
        Add(tables, Units50, "0.5 mL U-100 syringe", 0.5m, 0.01m, deadSpace: 0.002m, unitsPerMl: 100);
        Add(tables, Units30, "0.3 mL U-100 syringe", 0.3m, 0.005m, deadSpace: 0.002m, unitsPerMl: 100);
        Add(tables, OneMl, "1 mL syringe, fixed needle", 1, 0.01m, deadSpace: 0.01m);
        Add(tables, LongNeedle, "1 mL syringe, removable needle", 1, 0.01m, deadSpace: 0.084m);
        Add(tables, ThreeMl, "3 mL syringe with draw-up needle", 3, 0.1m, deadSpace: 0.07m, sharps: 2);
    }

    private static void Add(DemoTables tables, string id, string name, decimal capacity, decimal graduation, decimal deadSpace, int? unitsPerMl = null, int sharps = 1) => tables.Devices.Add(
        ("device_id", id),
        ("name", name),
        ("capacity_ml", capacity),
        ("graduation_ml", graduation),
        ("marked_in", unitsPerMl is null ? "ml" : "units"),
        ("units_per_ml", unitsPerMl),
        ("dead_space_ml", deadSpace),
        ("sharps_per_injection", sharps));
}
