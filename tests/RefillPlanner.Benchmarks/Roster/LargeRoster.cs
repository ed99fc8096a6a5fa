using System.Collections.Generic;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Roster;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>A course with all that is on record about it.</summary>
/// <param name="Course">The course.</param>
/// <param name="Steps">Its steps, in order.</param>
/// <param name="Prescriptions">Its prescriptions.</param>
/// <param name="Facts">Its facts, in order of day.</param>
internal sealed record RosterCourse(Course Course, IReadOnlyList<Step> Steps, IReadOnlyList<Prescription> Prescriptions, IReadOnlyList<Fact> Facts);

/// <summary>A patient with all that is on record.</summary>
/// <param name="Patient">The patient.</param>
/// <param name="Courses">One course or two.</param>
/// <param name="Sharps">Sharps containers.</param>
internal sealed record RosterPatient(Patient Patient, IReadOnlyList<RosterCourse> Courses, IReadOnlyList<SharpsContainer> Sharps);

/// <summary>
/// A roster of any size from a seed: patients, courses and facts come in order of their ids, and course n of a seed is the same whatever
/// the size. One course in ten is the second one of its patient. Sites take turns, about 2,000 courses each.
/// </summary>
/// <param name="Courses">How many courses.</param>
/// <param name="Seed">The same seed gives the same roster.</param>
internal sealed record LargeRoster(int Courses, int Seed)
{
    /// <summary>The day up to which facts reach, and the as-of date of all that is measured.</summary>
    public static readonly LocalDate Today = new(2026, 3, 2);

    private static readonly string[] Zones = ["America/New_York", "America/Denver", "America/Los_Angeles"];
    private static readonly string[] FirstNames = ["Alder", "Marl", "Chisel", "Drizzle", "Olmo", "Trowel", "Gale", "Mallet", "Frost", "Plumb"];
    private static readonly string[] LastNames = ["Fictus", "Quillfeather", "Fernsworth", "Oakenshaw", "Thistlewick", "Larchmere", "Cedarling", "Maplethorn"];

    /// <summary>How many sites.</summary>
    public int Sites => int.Max(1, Courses / 2_000);

    /// <summary>The sites, in order of id.</summary>
    public IEnumerable<Site> ListSites()
    {
        for (var number = 1; number <= Sites; number++)
        {
            yield return new Site
            {
                Id = SiteId(number),
                Name = $"Thimble Lane Pharmacy {number} (invented)",
                TimeZone = Zones[number % Zones.Length],
                ClosedWeekdays = number % 3 == 0 ? [IsoDayOfWeek.Sunday] : [IsoDayOfWeek.Saturday, IsoDayOfWeek.Sunday],
                ClosedOn = [Today.PlusDays(11), Today.PlusDays(12)],
                CarrierClosedOn = [Today.PlusDays(11)],
                CalendarKnownThrough = Today.PlusDays(365),
                StaffEmail = $"staff.{number}@example.org",
                PharmacistEmail = $"pharmacist.{number}@example.org",
                Phone = "555-0100",
            };
        }
    }

    /// <summary>The patients with their courses, in order of id.</summary>
    public IEnumerable<RosterPatient> ListPatients()
    {
        for (var number = 1; number <= Courses; number++)
        {
            var dice = new Dice(Seed, number, purpose: 4);
            var patient = MakePatient(number, dice);
            var courses = new List<RosterCourse> { new CourseStory(number, patient.Id, Seed).Tell() };
            if (number % 10 == 9 && number < Courses)
                courses.Add(new CourseStory(++number, patient.Id, Seed).Tell());
            yield return new RosterPatient(patient, courses, [.. ListSharps(patient.Id, number, dice)]);
        }
    }

    private static string SiteId(int number) => $"S-{number:0000}";

    private Patient MakePatient(int number, Dice dice)
    {
        // Numbers that end in 0 are second courses, so that patients are numbered without them for the sites' turns.
        var hasEmail = dice.Chance(90);
        return new Patient
        {
            Id = $"PT-{number:00000000}",
            Name = $"{dice.Pick(FirstNames)} {dice.Pick(LastNames)}",
            SiteId = SiteId((number - number / 10) % Sites + 1),
            BornOn = new LocalDate(1935, 1, 1).PlusDays(dice.Below(26_000)),
            Phone = $"555-01{number % 100:00}",
            Email = hasEmail ? $"patient.{number}@example.net" : null,
            EmailAgreedOn = hasEmail && dice.Chance(85) ? Today.PlusDays(-dice.Between(10, 400)) : null,
            Status = dice.Chance(97) ? PatientStatus.Active : PatientStatus.InCare,
            Language = dice.Chance(15) ? Language.Spanish : Language.English,
            Handover = dice.Chance(40) ? Handover.Ship : Handover.Pickup,
        };
    }

    private static IEnumerable<SharpsContainer> ListSharps(string patientId, int number, Dice dice)
    {
        if (!dice.Chance(90))
            yield break;
        var count = dice.Between(1, 2);
        var issuedOn = Today.PlusDays(-dice.Between(0, 80));
        for (var i = 1; i <= count; i++)
        {
            var next = issuedOn.PlusDays(dice.Between(20, 90));
            if (next > Today)
                next = Today;
            yield return new SharpsContainer
            {
                Id = $"SH-{number:00000000}-{i}",
                PatientId = patientId,
                Capacity = dice.Pick([100, 120, 300]),
                IssuedOn = issuedOn,
                ReturnedOn = i < count && dice.Chance(96) ? next : null,
            };
            issuedOn = next;
        }
    }
}
