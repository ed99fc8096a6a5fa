using System.Globalization;
using System.IO;
using NodaTime;
using NodaTime.Text;

namespace RefillPlanner.Roster;

/// <summary>What to write.</summary>
/// <param name="Out">The folder; made, and its roster files overwritten.</param>
/// <param name="Courses">How many courses.</param>
/// <param name="First">Number of the first course: course n of a seed is the same in every roster, so that parts fit together.</param>
/// <param name="Seed">The same seed and day give the same roster.</param>
/// <param name="Today">The day up to which facts reach.</param>
/// <param name="Faults">How many faulty rows to add.</param>
internal sealed record RosterOptions(string Out, int Courses, int First, int Seed, LocalDate Today, int Faults)
{
    /// <summary>How to call it.</summary>
    public const string Usage = """
        dotnet run --project tests/RefillPlanner.Roster -- --courses 5000 --seed 1 --today 2026-03-02 --out FOLDER
        dotnet run --project tests/RefillPlanner.Roster -- --courses 100 --faults 40 --today 2026-03-02 --out FOLDER

        --courses N   how many courses (100)
        --first N     number of the first course (1); course n of a seed is always the same, so parts fit together
        --seed N      the same seed gives the same roster (1)
        --today DATE  the day up to which facts reach (2026-03-02)
        --faults N    adds N rows that must be refused, each for another reason, and lists them in faults.csv beside FOLDER (0)
        --out FOLDER  where the roster goes
        """;

    /// <summary>Reads the arguments; null, and what is wrong, when they cannot be read.</summary>
    public static RosterOptions? Parse(string[] args, out string mistake)
    {
        var options = new RosterOptions("", Courses: 100, First: 1, Seed: 1, new LocalDate(2026, 3, 2), Faults: 0);
        mistake = "";
        for (var i = 0; i < args.Length; i += 2)
        {
            var value = i + 1 < args.Length ? args[i + 1] : "";
            var read = Read(options, args[i], value);
            if (read is null)
            {
                mistake = $"{args[i]} {value}: not understood. See --help.";
                return null;
            }

            options = read;
        }

        if (options.Out.Length > 0)
            return options;
        mistake = "--out is missing. See --help.";
        return null;
    }

    private static RosterOptions? Read(RosterOptions options, string name, string value)
    {
        if (name == "--out")
            return value.Length > 0 && !File.Exists(value) ? options with { Out = value } : null;
        if (name == "--today")
            return LocalDatePattern.Iso.Parse(value) is { Success: true } today ? options with { Today = today.Value } : null;
        if (!int.TryParse(value, NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            return null;
        return name switch
        {
            "--courses" when number <= 1_000_000 => options with { Courses = number },
            "--first" when number is > 0 and <= 100_000_000 => options with { First = number },
            "--seed" => options with { Seed = number },
            "--faults" when number <= Roster.Faults.Count => options with { Faults = number },
            _ => null,
        };
    }
}
