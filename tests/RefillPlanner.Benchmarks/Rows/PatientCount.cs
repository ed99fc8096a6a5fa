using System;
using System.Globalization;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>How many patients a file has.</summary>
internal static class PatientCount
{
    public static int Of(string folder)
    {
        using var connection = RosterFile.Connect(folder);
        using var command = connection.CreateCommand();
        command.CommandText = "SELECT count(*) FROM patients;";
        return Convert.ToInt32(command.ExecuteScalar(), CultureInfo.InvariantCulture);
    }
}
