using NodaTime;

namespace RefillPlanner.Roster;

/// <summary>Random patients with invented names, and their sharps containers.</summary>
internal static class RandomPatient
{
    private static readonly string[] FirstNames = ["Alder", "Marl", "Chisel", "Drizzle", "Olmo", "Trowel", "Gale", "Mallet", "Frost", "Plumb", "Sleet", "Rasp", "Haze", "Anvil", "Squall", "Niebla", "Gimlet", "Zephyr"];
    private static readonly string[] LastNames = ["Fictus", "Quillfeather", "Fernsworth", "Oakenshaw", "Thistlewick", "Birchquill", "Larchmere", "Cedarling", "Elderwand", "Maplethorn", "Junipersby", "Sauceverde", "Ñandubay", "O'Rowan", "Ash-Mock", "Pinewell, the Younger", "\"Twig\" Hornbeamly"];

    /// <summary>Writes one; the content depends on seed and number alone.</summary>
    public static void Add(RosterFiles files, RosterOptions options, int number)
    {
        var dice = new Dice(options.Seed, number, purpose: 2);
        var hasEmail = dice.Chance(90);
        files.Patients.Add(
            ("patient_id", $"PT-{number}"),
            ("name", $"{dice.Pick(FirstNames)} {dice.Pick(LastNames)}"),
            ("site_id", dice.Pick(Catalogue.Sites)),
            ("born_on", new LocalDate(1935, 1, 1).PlusDays(dice.Below(26_000))),
            ("phone", $"555-01{number % 100:00}"),
            ("email", hasEmail ? $"patient.{number}@example.net" : null),
            ("email_agreed_on", hasEmail && dice.Chance(85) ? options.Today.PlusDays(-dice.Between(10, 400)) : null),
            ("email_opted_out_on", dice.Chance(5) ? options.Today.PlusDays(-dice.Between(0, 100)) : null),
            ("status", dice.Chance(95) ? null : dice.Pick(["active", "in-care", "moved", "deceased"])),
            ("language", dice.Chance(15) ? "es" : null),
            ("time_zone", dice.Chance(3) ? "America/Chicago" : null),
            ("handover", dice.Chance(40) ? "ship" : dice.Chance(50) ? "pickup" : null));
        if (dice.Chance(90))
            AddSharps(files, options.Today, number, dice);
    }

    private static void AddSharps(RosterFiles files, LocalDate today, int number, Dice dice)
    {
        var count = dice.Between(1, 2);
        var issued = today.PlusDays(-dice.Between(0, 150));
        for (var i = 1; i <= count; i++)
        {
            var isLatest = i == count;
            var until = issued.PlusDays(dice.Between(20, 90));
            files.Sharps.Add(
                ("sharps_id", $"SH-{number}-{i}"),
                ("patient_id", $"PT-{number}"),
                ("capacity_sharps", dice.Pick([35, 50, 100, 120, 300])),
                ("issued_on", issued),
                ("returned_on", !isLatest && dice.Chance(80) && until <= today ? until : null),
                ("container_class", dice.Chance(8) ? "hazardous" : null));
            issued = until < today ? until : today;
        }
    }
}
