using System;
using Microsoft.Data.Sqlite;
using RefillPlanner.Benchmarks.Roster;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>One prepared query about a site, every column of every row read as it is.</summary>
internal sealed class BareQuery : IDisposable
{
    private readonly SqliteConnection _connection;
    private readonly SqliteCommand _command;
    private readonly SqliteParameter _site;

    public BareQuery(string folder, string sql)
    {
        _connection = RosterFile.Connect(folder);
        _command = _connection.CreateCommand();
        _command.CommandText = sql;
        _site = _command.Parameters.Add("$site", SqliteType.Text);
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
