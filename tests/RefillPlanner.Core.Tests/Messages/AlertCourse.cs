using System.Collections.Generic;
using System.Globalization;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Core.Tests.Messages;

/// <summary>A weekly course whose second step waits for its check on Monday, March 2, 2026; each part may be another.</summary>
internal sealed record AlertCourse
{
    public static readonly LocalDate Today = new(2026, 3, 2);

    public static readonly Device HalfUnits = new() { Id = "D-HALF", Name = "0.5 mL", Capacity = Volume.FromMl(0.5m), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };

    public static readonly Device OneUnits = new() { Id = "D-ONE", Name = "1 mL", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };

    public static readonly Device Forty = new() { Id = "D-40", Name = "1 mL U-40", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.025m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 40 };

    public static readonly Product Weekly = new() { Id = "P-WEEK", Drug = "a weekly drug", Kind = ProductKind.MultiDoseVial, Unit = DoseUnit.Mg, Strength = new Strength(Amount.From(2.5m), Volume.FromMl(1)), Volume = Volume.FromMl(2) };

    public static readonly Product Strong = Weekly with { Id = "P-STRONG", Strength = new Strength(Amount.From(10), Volume.FromMl(1)) };

    public Product Product { get; init; } = Weekly;

    public Product? NewProduct { get; init; }

    public Device Device { get; init; } = HalfUnits;

    public Device? NewDevice { get; init; }

    public string Dose { get; init; } = "0.25";

    public string NewDose { get; init; } = "0.5";

    public int NewEveryDays { get; init; } = 7;

    public IReadOnlyList<Fact> Facts { get; init; } = [];

    public string Id { get; init; } = "C-1";

    public Language Language { get; init; }

    public int EveryDays { get; init; } = 7;

    public PatientStatus Status { get; init; }

    public CourseSnapshot Snapshot() => new()
    {
        Course = new Course { Id = Id, PatientId = "N", StartedOn = new LocalDate(2026, 2, 16), DeviceId = Device.Id },
        Patient = new Patient { Id = "N", Name = "Marl Quillfeather", SiteId = "S", Language = Language, Status = Status },
        Site = new Site { Id = "S", Name = "Lantern Hollow Pharmacy (invented)", TimeZone = "America/New_York" },
        Products = new[] { Product, NewProduct ?? Product }.DistinctBy(product => product.Id).ToDictionary(product => product.Id),
        Devices = new[] { Device, NewDevice ?? Device }.DistinctBy(device => device.Id).ToDictionary(device => device.Id),
        Steps =
        [
            new Step { CourseId = Id, Number = 1, ProductId = Product.Id, Doses = [Mg(Dose)], EveryDays = EveryDays, DoseDays = 4 },
            new Step { CourseId = Id, Number = 2, ProductId = (NewProduct ?? Product).Id, Doses = [Mg(NewDose)], EveryDays = NewEveryDays, DeviceId = NewDevice?.Id },
        ],
        Facts = [new Fact { Id = "F-01", CourseId = Id, Kind = FactKind.Dispensed, On = new LocalDate(2026, 2, 16), ProductId = Product.Id, Containers = 2, DaysSupply = 7 }, .. Facts],
    };

    public CoursePlan Plan() => PlanningPipeline.Plan([Snapshot()], [], Policy.Default, Today).Courses[0];

    public StepUpAlert Alert(params AlertCourse[] others) =>
        StepUpAlert.Of(Snapshot(), Plan(), Plan().StepUp!, Policy.Default, [.. others.Select(other => (other.Snapshot(), other.Plan()))]);

    private static Amount Mg(string dose) => Amount.From(decimal.Parse(dose, CultureInfo.InvariantCulture));
}
