using System;
using System.Globalization;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>How many rows a table of a file has.</summary>
internal static class TableCount
{
    public static int Of(string folder, string table)
    {
        using var connection = RosterFile.Connect(folder);
        using var command = connection.CreateCommand();
        command.CommandText = $"SELECT count(*) FROM {table};";
        return Convert.ToInt32(command.ExecuteScalar(), CultureInfo.InvariantCulture);
    }
}
