using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;

namespace RefillPlanner.Service.Mail;

/// <summary>An invented patient with an invented course, on whom texts are tried out and shown. Nothing of it is on record anywhere.</summary>
/// <param name="Language">The patient's language.</param>
/// <param name="IsPlain">Whether as little as possible is known: no telephone, no date of birth, nothing to draw.</param>
internal sealed record SampleCourse(Language Language, bool IsPlain)
{
    private const string CourseId = "C-SAMPLE";

    /// <summary>The day on which it is looked at.</summary>
    public static readonly LocalDate Today = new(2026, 3, 2);

    private static readonly LocalDate StartedOn = Today.PlusDays(-14);

    private static readonly Device Syringe = new() { Id = "D-SAMPLE", Name = "0.5 mL U-100 syringe", Capacity = Volume.FromMl(0.5m), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Units, UnitsPerMl = 100 };

    private static readonly Product Vial = new()
    {
        Id = "P-SAMPLE",
        Drug = "samplamide (invented)",
        Kind = ProductKind.MultiDoseVial,
        Unit = DoseUnit.Mg,
        Strength = new Strength(Amount.From(10), Volume.FromMl(1)),
        Volume = Volume.FromMl(2),
        InUseDays = 28,
        CheckPrompts = "How is the present dose tolerated?",
    };

    private static readonly Product Filled = new() { Id = "P-SAMPLE", Drug = "samplamide (invented)", Kind = ProductKind.PrefilledSyringe, Unit = DoseUnit.Mg, DoseAmount = Amount.From(1) };

    /// <summary>The invented pharmacy.</summary>
    public Site Site => new()
    {
        Id = "S-SAMPLE",
        Name = "Paper Lantern Pharmacy (invented)",
        TimeZone = "America/New_York",
        ClosedWeekdays = [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday],
        StaffEmail = "staff@pharmacy.invalid",
        PharmacistEmail = "pharmacist@pharmacy.invalid",
        ManagerEmail = "manager@pharmacy.invalid",
        SenderEmail = "refill-planner@pharmacy.invalid",
        Phone = IsPlain ? null : "555-0100",
        EmergencyNumber = IsPlain ? null : "911",
        SharpsReturn = IsPlain ? null : "Bring it to our counter.",
        SharpsReturnEs = IsPlain ? null : "Tráigalo a la farmacia.",
    };

    /// <summary>The invented patient.</summary>
    public Patient Patient => new()
    {
        Id = "PT-SAMPLE",
        Name = "Marl Quillfeather",
        SiteId = Site.Id,
        BornOn = IsPlain ? null : new LocalDate(1958, 4, 24),
        Email = "marl@patient.invalid",
        EmailAgreedOn = StartedOn,
        Language = Language,
    };

    /// <summary>The invented course: a second step waits for its check.</summary>
    public CourseSnapshot Snapshot => new()
    {
        Course = new Course { Id = CourseId, PatientId = Patient.Id, StartedOn = StartedOn, DeviceId = IsPlain ? null : Syringe.Id },
        Patient = Patient,
        Site = Site,
        Products = new Dictionary<string, Product> { [Vial.Id] = IsPlain ? Filled : Vial },
        Devices = new Dictionary<string, Device> { [Syringe.Id] = Syringe },
        Steps =
        [
            new Step { CourseId = CourseId, Number = 1, ProductId = Vial.Id, Doses = [Amount.From(1)], EveryDays = 7, DoseDays = 4 },
            new Step { CourseId = CourseId, Number = 2, ProductId = Vial.Id, Doses = [Amount.From(IsPlain ? 1 : 3)], EveryDays = 7 },
        ],
        Prescriptions = IsPlain ? [] : [new Prescription { Id = "RX-SAMPLE", CourseId = CourseId, IssuedOn = StartedOn, RefillsAuthorized = 2, Prescriber = "Dr. Sorrel Teapot", PrescriberPhone = "555-0192" }],
        Facts = IsPlain ? [] :
        [
            new Fact { Id = "F-1", CourseId = CourseId, Kind = FactKind.Dispensed, On = StartedOn, ProductId = Vial.Id, Containers = 1, DaysSupply = 28 },
            new Fact { Id = "F-2", CourseId = CourseId, Kind = FactKind.Missed, On = StartedOn.PlusDays(7) },
        ],
    };

    /// <summary>What follows for it.</summary>
    public CoursePlan Plan => PlanningPipeline.Plan([Snapshot], [], Policy.Default, Today).Courses.Single();
}
