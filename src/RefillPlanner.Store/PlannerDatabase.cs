using System;
using System.Collections.Concurrent;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>The one database file of an installation: opened, brought to this program's schema, and handed out as transactions.</summary>
public sealed class PlannerDatabase : IDisposable
{
    private const int BusySeconds = 5;
    private readonly string _connectionString;
    private readonly ConcurrentBag<StoreConnection> _idle = [];
    private volatile bool _isClosed;

    private PlannerDatabase(string connectionString) => _connectionString = connectionString;

    /// <summary>Opens a database file, makes it where it is missing, and applies what its schema lacks.</summary>
    /// <param name="file">Path of the file; its folder exists.</param>
    /// <param name="now">When migrations are recorded as applied.</param>
    /// <exception cref="SchemaException">The file is newer than the program, or an applied migration has changed.</exception>
    public static PlannerDatabase Open(string file, Instant now)
    {
        TypeHandlers.Register();
        var database = new PlannerDatabase(new SqliteConnectionStringBuilder
        {
            DataSource = file,
            ForeignKeys = true,
            DefaultTimeout = BusySeconds,
            Pooling = false,
        }.ToString());
        using var connection = database.Connect();
        connection.Execute("PRAGMA journal_mode = WAL;");
        Migrator.Apply(connection.Sqlite, now);
        return database;
    }

    /// <summary>Begins a writing transaction at once: of two writers the second waits, up to five seconds.</summary>
    public StoreTransaction Begin() => Begin(deferred: false);

    /// <summary>Begins a reading transaction: one unchanging view, which never waits for a writer.</summary>
    public StoreTransaction Read() => Begin(deferred: true);

    /// <summary>Lets go of the file.</summary>
    public void Dispose()
    {
        _isClosed = true;
        while (_idle.TryTake(out var connection))
            connection.Dispose();
    }

    /// <summary>Sites, products and devices as last read, for the transactions to come.</summary>
    internal Reference? Reference { get; set; }

    /// <summary>Takes a connection back.</summary>
    internal void TakeBack(StoreConnection connection)
    {
        connection.Statements.TakeBack();
        if (_isClosed)
            connection.Dispose();
        else
            _idle.Add(connection);
    }

    private StoreTransaction Begin(bool deferred)
    {
        var connection = _idle.TryTake(out var idle) ? idle : Connect();
        try
        {
            return new StoreTransaction(this, connection, connection.Sqlite.BeginTransaction(deferred), isWriting: !deferred);
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    private StoreConnection Connect() => new(_connectionString);
}
