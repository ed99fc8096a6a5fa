using System;
using Microsoft.Data.Sqlite;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>One prepared query about a site, every column of every row read as it is.</summary>
internal sealed class BareQuery : IDisposable
{
    private readonly SqliteConnection _connection;
    private readonly SqliteCommand _command;
    private readonly SqliteParameter _site;

    /// <summary>Prepares it.</summary>
    /// <param name="folder">The folder of the file.</param>
    /// <param name="sql">The query; its first parameter is the site, its second the last day.</param>
    /// <param name="through">The last day.</param>
    public BareQuery(string folder, string sql, LocalDate through)
    {
        _connection = RosterFile.Connect(folder);
        _command = _connection.CreateCommand();
        _command.CommandText = sql;
        _site = _command.Parameters.Add("?1", SqliteType.Text);
        _command.Parameters.AddWithValue("?2", LocalDatePattern.Iso.Format(through));
        _command.Prepare();
    }

    /// <summary>Runs it; how many rows it found.</summary>
    public int Run(string siteId)
    {
        _site.Value = siteId;
        var rows = 0;
        using var reader = _command.ExecuteReader();
        var values = new object[reader.FieldCount];
        for (; reader.Read(); rows++)
            reader.GetValues(values);
        return rows;
    }

    public void Dispose()
    {
        _command.Dispose();
        _connection.Dispose();
    }
}
