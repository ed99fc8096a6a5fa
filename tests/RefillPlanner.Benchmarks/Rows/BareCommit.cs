using System;
using Microsoft.Data.Sqlite;
using RefillPlanner.Benchmarks.Roster;
using RefillPlanner.Store;

namespace RefillPlanner.Benchmarks.Rows;

/// <summary>The least that is durable: one prepared INSERT of one small row into a table of the same file, committed by itself.</summary>
internal sealed class BareCommit : IDisposable
{
    private readonly SqliteConnection _connection;
    private readonly SqliteCommand _command;

    public BareCommit(string folder)
    {
        _connection = RosterFile.Connect(folder);
        RosterFile.Execute(_connection, "PRAGMA synchronous = FULL; CREATE TABLE IF NOT EXISTS bare_commits (number INTEGER PRIMARY KEY, at TEXT NOT NULL) STRICT;");
        Migrator.Seal(_connection);
        _command = _connection.CreateCommand();
        _command.CommandText = "INSERT INTO bare_commits (at) VALUES ('2026-03-02T17:00:00.000Z');";
        _command.Prepare();
    }

    public void Run() => _command.ExecuteNonQuery();

    public void Dispose()
    {
        _command.Dispose();
        _connection.Dispose();
    }
}
