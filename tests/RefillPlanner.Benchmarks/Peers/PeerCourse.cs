using System;
using System.Collections.Concurrent;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Roster;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>A step of a course that every peer can compute.</summary>
/// <param name="EveryDays">Days from one dosing day to the next.</param>
/// <param name="DosingDays">How many dosing days it lasts; null: until further notice.</param>
/// <param name="Mark">What a dose gives, in nanolitres.</param>
internal sealed record PeerStep(int EveryDays, int? DosingDays, long Mark);

/// <summary>
/// A course that every peer can compute: a ladder of steps with one dose a dosing day, one kind of vial with an in-use limit, a syringe
/// with dead space, vials that all arrive at the start. Days are counted from the start, day 0.
/// </summary>
/// <param name="Number">Its number.</param>
/// <param name="Vials">How many vials.</param>
/// <param name="VialVolume">What one holds, in nanolitres.</param>
/// <param name="InUseDays">Days in use; the opening day is day 1.</param>
/// <param name="DeadSpace">What stays in hub and needle at each dose, in nanolitres.</param>
/// <param name="Steps">The ladder.</param>
internal sealed record PeerCourse(int Number, int Vials, long VialVolume, int InUseDays, long DeadSpace, IReadOnlyList<PeerStep> Steps)
{
    // A pharmacy's products and barrels are few, and many courses share them.
    private static readonly ConcurrentDictionary<(long Volume, int InUseDays), IReadOnlyDictionary<string, Product>> Products = [];
    private static readonly ConcurrentDictionary<long, IReadOnlyDictionary<string, Device>> Devices = [];

    private static readonly Site Site = new() { Id = "S", Name = "S", TimeZone = "America/New_York" };

    /// <summary>What a dose of a step takes out of the vial.</summary>
    public long Needed(PeerStep step) => step.Mark + DeadSpace;

    /// <summary>Random courses, all of which run out within the horizon.</summary>
    public static IReadOnlyList<PeerCourse> List(int count, int seed) => [.. Enumerable.Range(1, count).Select(number => Make(number, new Dice(seed, number, purpose: 5)))];

    /// <summary>The course as the planner has it on record.</summary>
    public CourseSnapshot ToSnapshot()
    {
        return new CourseSnapshot
        {
            Course = new Course { Id = $"C-{Number}", PatientId = "A", StartedOn = LargeRoster.Today, DeviceId = "D" },
            Patient = new Patient { Id = "A", Name = "A", SiteId = "S" },
            Site = Site,
            Steps =
            [
                .. Steps.Select((step, index) => new Step
                {
                    CourseId = $"C-{Number}",
                    Number = index + 1,
                    ProductId = "P",
                    Doses = [Amount.From(step.Mark / (decimal)Volume.PerMl * 100)],
                    EveryDays = step.EveryDays,
                    DoseDays = step.DosingDays,
                    NeedsCheck = false,
                }),
            ],
            Products = Products.GetOrAdd((VialVolume, InUseDays), MakeProducts),
            Devices = Devices.GetOrAdd(DeadSpace, MakeDevices),
            Facts = [new Fact { Id = "F", CourseId = $"C-{Number}", Kind = FactKind.Dispensed, On = LargeRoster.Today, ProductId = "P", Containers = Vials }],
        };
    }

    private static IReadOnlyDictionary<string, Product> MakeProducts((long Volume, int InUseDays) vial) => new Dictionary<string, Product>
    {
        ["P"] = new Product
        {
            Id = "P",
            Drug = "drug",
            Kind = ProductKind.MultiDoseVial,
            Unit = DoseUnit.Units,
            Strength = new Strength(Amount.From(100), Volume.FromMl(1)),
            Volume = new Volume(vial.Volume),
            InUseDays = vial.InUseDays,
        },
    };

    private static IReadOnlyDictionary<string, Device> MakeDevices(long deadSpace) => new Dictionary<string, Device>
    {
        ["D"] = new Device { Id = "D", Name = "barrel", Capacity = Volume.FromMl(1), Graduation = Volume.FromMl(0.01m), MarkedIn = BarrelMarking.Ml, DeadSpace = new Volume(deadSpace) },
    };

    private static PeerCourse Make(int number, Dice dice)
    {
        var every = dice.Pick([7, 7, 7, 7, 7, 1, 1, 1, 1, 2, 3, 14]);
        var count = dice.Between(1, 4);
        var mark = 10_000L * dice.Between(5, 20);
        var steps = new PeerStep[count];
        for (var i = 0; i < count; i++)
        {
            steps[i] = new PeerStep(every, i == count - 1 ? null : every == 1 ? 7 : 4, mark);
            mark += 10_000L * dice.Between(5, 20);
        }

        var volume = Volume.PerMl * (every < 7 ? dice.Pick([5, 10]) : dice.Pick([2, 3, 4]));
        return new PeerCourse(number, dice.Between(2, 4), volume, dice.Pick([28, 28, 28, 42, 56]), dice.Pick([2_000L, 10_000L, 84_000L]), steps);
    }
}
