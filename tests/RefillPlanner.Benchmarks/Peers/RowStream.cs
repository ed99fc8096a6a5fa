using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using RefillPlanner.Benchmarks.Measuring;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>What streaming the rows took.</summary>
/// <param name="Milliseconds">How long.</param>
/// <param name="Rows">How many rows.</param>
/// <param name="Courses">How many of them were courses.</param>
/// <param name="Sum">A sum over all values, for comparing.</param>
internal readonly record struct Streamed(double Milliseconds, long Rows, long Courses, long Sum);

/// <summary>Streams the rows that planning needs out of SQLite, in one thread: in C where a compiler and SQLite's header are there.</summary>
internal sealed class RowStream
{
    private readonly string? _program;

    private RowStream(string? program, string name)
    {
        _program = program;
        Name = name;
    }

    /// <summary>What it is, for the table.</summary>
    public string Name { get; }

    /// <summary>Compiles the C program; where that cannot be done, the raw statement stands in, under its name.</summary>
    /// <param name="folder">Where to put what is compiled.</param>
    public static RowStream Build(string folder)
    {
        var program = Path.Combine(folder, "stream");
        var source = Path.Combine(AppContext.BaseDirectory, "Programs", "stream.c");
        var compiled = ChildProgram.TryRun("cc", ["-O2", "-o", program, source, "-lsqlite3"]);
        return compiled is { ExitCode: 0 } ? new RowStream(program, "C") : new RowStream(null, "the raw statement (no C compiler or sqlite3.h here)");
    }

    /// <summary>Streams table after table, in the order in which they lie in the file.</summary>
    public Streamed InRowOrder(string folder) => Run("each", folder, PlanningRows.InRowOrder);

    /// <summary>Streams all tables at once, course by course.</summary>
    public Streamed InKeyOrder(string folder) => Run("merge", folder, PlanningRows.InKeyOrder);

    private Streamed Run(string order, string folder, IReadOnlyList<string> statements)
    {
        var file = Path.Combine(folder, RosterFile.Name);
        if (_program is null)
            return RawStream.Run(folder, statements);
        var run = ChildProgram.Run(_program, [order, file, .. statements]);
        var words = run.Output.Split(' ');
        return new Streamed(
            double.Parse(words[0], CultureInfo.InvariantCulture),
            long.Parse(words[1], CultureInfo.InvariantCulture),
            long.Parse(words[2], CultureInfo.InvariantCulture),
            long.Parse(words[3], CultureInfo.InvariantCulture));
    }
}
