using System;
using System.Collections.Generic;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>The one database file of an installation: opened, brought to this program's schema, and handed out as transactions.</summary>
public sealed class PlannerDatabase : IDisposable
{
    private const int BusySeconds = 5;
    private readonly string _connectionString;

    private PlannerDatabase(string connectionString) => _connectionString = connectionString;

    /// <summary>Opens a database file, makes it where it is missing, and applies what its schema lacks.</summary>
    /// <param name="file">Path of the file; its folder exists.</param>
    /// <param name="now">When migrations are recorded as applied.</param>
    /// <exception cref="SchemaException">The file is newer than the program, or an applied migration has changed.</exception>
    public static PlannerDatabase Open(string file, Instant now)
    {
        StatementJournals.KeepInMemory();
        TypeHandlers.Register();
        var database = new PlannerDatabase(new SqliteConnectionStringBuilder
        {
            DataSource = file,
            ForeignKeys = true,
            DefaultTimeout = BusySeconds,
            Pooling = true,
        }.ToString());
        using var connection = database.Connect();
        Execute(connection, "PRAGMA journal_mode = WAL;");
        Migrator.Apply(connection, now);
        return database;
    }

    /// <summary>Begins a writing transaction at once: of two writers the second waits, up to five seconds.</summary>
    public StoreTransaction Begin()
    {
        var connection = Connect();
        return new StoreTransaction(connection, connection.BeginTransaction(deferred: false));
    }

    /// <summary>Begins a reading transaction: one unchanging view, which never waits for a writer.</summary>
    public StoreTransaction Read()
    {
        var connection = Connect();
        return new StoreTransaction(connection, connection.BeginTransaction(deferred: true));
    }

    /// <summary>Lets go of the file.</summary>
    public void Dispose()
    {
        using var connection = new SqliteConnection(_connectionString);
        SqliteConnection.ClearPool(connection);
    }

    private SqliteConnection Connect()
    {
        var connection = new SqliteConnection(_connectionString);
        connection.Open();
        Execute(connection, "PRAGMA synchronous = FULL;");
        return connection;
    }

    private static void Execute(SqliteConnection connection, string sql)
    {
        using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }
}
