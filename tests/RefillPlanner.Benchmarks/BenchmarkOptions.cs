using System;
using System.Collections.Generic;
using System.Globalization;
using System.Linq;

namespace RefillPlanner.Benchmarks;

/// <summary>What is to be measured.</summary>
internal sealed record BenchmarkOptions
{
    /// <summary>How to call it.</summary>
    public const string Usage = """
        dotnet run -c Release --project tests/RefillPlanner.Benchmarks -- --courses 1000000

        --courses N          courses of the large roster (1,000,000); growth is measured from a tenth of it
        --only F2,F6         these rows only
        --short              10,000 courses: looks at results and counts, never at time; exit code 1 if one is not as it should be
        --data FOLDER        keeps the rosters for the next run; without it they are made anew and thrown away
        --markdown FILE      writes the table as Markdown too
        --seed N             the same seed gives the same roster (1)
        --kernels            measures single computations with BenchmarkDotNet instead

        dotnet run -c Release --project tests/RefillPlanner.Benchmarks -- roster FOLDER COURSES
            only writes a large roster, unplanned, and prints how fast its rows can be read
        """;

    /// <summary>Courses of the large roster.</summary>
    public int Courses { get; init; } = 1_000_000;

    /// <summary>Rows to measure; empty: all.</summary>
    public IReadOnlyList<string> Only { get; init; } = [];

    /// <summary>Whether only the shape is looked at.</summary>
    public bool Short { get; init; }

    /// <summary>Where rosters are kept; null: nowhere.</summary>
    public string? Data { get; init; }

    /// <summary>Where the table goes; null: only to the terminal.</summary>
    public string? Markdown { get; init; }

    /// <summary>Of the roster.</summary>
    public int Seed { get; init; } = 1;

    /// <summary>Whether a row is to be measured.</summary>
    public bool Wants(string row) => Only.Count == 0 || Only.Contains(row, StringComparer.OrdinalIgnoreCase);

    /// <summary>Reads the arguments; null, and what is wrong, when they cannot be read.</summary>
    public static BenchmarkOptions? Parse(string[] args, out string mistake)
    {
        var options = new BenchmarkOptions();
        mistake = string.Empty;
        for (var i = 0; i < args.Length; i++)
        {
            var name = args[i];
            var read = name == "--short" ? options with { Short = true, Courses = 10_000 } : Read(options, name, i + 1 < args.Length ? args[++i] : string.Empty);
            if (read is null)
            {
                mistake = $"{name}: not understood.";
                return null;
            }

            options = read;
        }

        return options;
    }

    private static BenchmarkOptions? Read(BenchmarkOptions options, string name, string value)
    {
        if (value.Length == 0)
            return null;
        if (name == "--only")
            return options with { Only = value.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries) };
        if (name == "--data")
            return options with { Data = value };
        if (name == "--markdown")
            return options with { Markdown = value };
        if (!int.TryParse(value, NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            return null;
        return name switch
        {
            "--courses" when number is >= 1_000 and <= 10_000_000 => options with { Courses = number },
            "--seed" => options with { Seed = number },
            _ => null,
        };
    }
}
