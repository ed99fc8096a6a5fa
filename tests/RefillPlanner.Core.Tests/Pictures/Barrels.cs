using System.Collections.Generic;
using System.IO;
using System.Runtime.CompilerServices;
using RefillPlanner.Core.Dosing;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Pictures;

namespace RefillPlanner.Core.Tests.Pictures;

/// <summary>The barrels whose pictures are kept, and where.</summary>
internal static class Barrels
{
    /// <summary>0.5 mL U-100, 1 unit a line.</summary>
    public static readonly Barrel Half = Units("0.5", "0.01");

    /// <summary>1 mL U-100, 1 unit a line.</summary>
    public static readonly Barrel One = Units("1", "0.01");

    /// <summary>1 mL marked in mL.</summary>
    public static readonly Barrel OneMl = InMl("1", "0.01");

    /// <summary>The pictures by name.</summary>
    public static IReadOnlyDictionary<string, IReadOnlyList<Panel>> All { get; } = new Dictionary<string, IReadOnlyList<Panel>>
    {
        // Insulin barrels, U-100: 0.3, 0.5, 1 mL with 0.5 or 1, 1, 1 or 2 units a line (ISO 8537:2007, table 1).
        ["u100-0.3-by-0.5"] = Alone(Units("0.3", "0.005"), "0.125"),
        ["u100-0.3-by-1"] = Alone(Units("0.3", "0.01"), "0.12"),
        ["u100-0.5-by-1"] = Alone(Half, "0.15"),
        ["u100-1-by-1"] = Alone(One, "0.36"),
        ["u100-1-by-2"] = Alone(Units("1", "0.02"), "0.5"),
        ["ml-1-by-0.01"] = Alone(OneMl, "0.25"),
        ["ml-3-by-0.1"] = Alone(InMl("3", "0.1"), "1.3"),
        ["ml-5-by-0.2"] = Alone(InMl("5", "0.2"), "5"),
        ["now-and-new-one-barrel"] = Beside(new BarrelReading(Half, Ml("0.1")), new BarrelReading(Half, Ml("0.2"))),
        ["now-and-new-two-barrels"] = Beside(new BarrelReading(One, Ml("0.25")), new BarrelReading(OneMl, Ml("0.25"))),
        ["three-injections"] = Panel.List(Side.Alone, [new BarrelReading(Half, Ml("0.35")), new BarrelReading(Half, Ml("0.35")), new BarrelReading(Half, Ml("0.34"))]),
        ["pen"] = Panel.List(Side.Alone, [new DialReading(Amount.From(41), DoseUnit.Units), new DialReading(Amount.From(40), DoseUnit.Units)]),
    };

    public static Volume Ml(string ml) => Volume.FromMl(decimal.Parse(ml, System.Globalization.CultureInfo.InvariantCulture));

    public static Barrel Units(string capacity, string graduation) => new(Ml(capacity), Ml(graduation), 100);

    public static Barrel InMl(string capacity, string graduation) => new(Ml(capacity), Ml(graduation), UnitsPerMl: null);

    public static string FileOf(string name, [CallerFilePath] string here = "") => Path.Combine(Path.GetDirectoryName(here)!, "Golden", $"{name}.svg");

    private static IReadOnlyList<Panel> Alone(Barrel barrel, string mark) => Panel.List(Side.Alone, [new BarrelReading(barrel, Ml(mark))]);

    private static IReadOnlyList<Panel> Beside(Reading now, Reading coming) => [.. Panel.List(Side.Now, [now]), .. Panel.List(Side.New, [coming])];
}
