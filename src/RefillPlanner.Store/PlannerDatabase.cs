using System;
using System.Collections.Concurrent;
using System.Collections.Generic;
using System.Threading;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>The one database file of an installation: opened, brought to this program's schema, and handed out as transactions.</summary>
public sealed class PlannerDatabase : IDisposable
{
    // Of two writers the second waits so long.
    private const int BusySeconds = 30;
    private readonly string _connectionString;
    private readonly int _busySeconds;
    private readonly ConcurrentBag<StoreConnection> _idle = [];

    // Apart: what one connection writes the others must read anew.
    private readonly ConcurrentBag<StoreConnection> _idleWriter = [];
    private readonly SemaphoreSlim _writer = new(1, 1);
    private volatile bool _isClosed;

    // What SQLite says of a schema that it cannot make sense of.
    private const int SchemaError = 1;

    private PlannerDatabase(string file, int busySeconds, SqliteOpenMode mode = SqliteOpenMode.ReadWriteCreate)
    {
        File = file;
        _busySeconds = busySeconds;
        _connectionString = new SqliteConnectionStringBuilder { DataSource = file, Mode = mode, ForeignKeys = true, DefaultTimeout = busySeconds, Pooling = false }.ToString();
    }

    /// <summary>Path of the file.</summary>
    public string File { get; }

    /// <summary>Opens a database file, makes it where it is missing, and applies what its schema lacks.</summary>
    /// <param name="file">Path of the file; its folder exists.</param>
    /// <param name="now">When migrations are recorded as applied.</param>
    /// <exception cref="SchemaException">The file is newer than the program, damaged, or not one of this program's.</exception>
    public static PlannerDatabase Open(string file, Instant now) => Open(file, now, BusySeconds);

    /// <summary>Opens a database file to be looked at: nothing is made, written or brought to another schema.</summary>
    /// <param name="file">Path of the file.</param>
    /// <exception cref="SchemaException">The file is older or newer than the program, damaged, or not one of this program's.</exception>
    /// <exception cref="SqliteException">There is no such file (code 14), or it cannot be read.</exception>
    public static PlannerDatabase Look(string file)
    {
        var database = new PlannerDatabase(file, BusySeconds, SqliteOpenMode.ReadOnly);
        try
        {
            using var connection = database.Connect();
            Migrator.DemandWhole(connection.Sqlite);
            return database;
        }
        catch (SqliteException damage) when (damage.SqliteErrorCode == SchemaError || DamagedRowException.IsDamage(damage))
        {
            throw new SchemaException($"The database file {file} is damaged ({damage.Message}): put a backup in its place; docs/how-to/restore.md says how.");
        }
    }

    /// <summary>The same, waiting longer or less long for another writer.</summary>
    internal static PlannerDatabase Open(string file, Instant now, int busySeconds)
    {
        var database = new PlannerDatabase(file, busySeconds);
        try
        {
            using var connection = database.Connect();
            connection.Execute("PRAGMA journal_mode = WAL;");
            Migrator.Apply(connection.Sqlite, now);
            return database;
        }
        catch (Exception damage) when (IsDamage(damage))
        {
            throw new SchemaException($"The database file {file} is damaged ({damage.Message}): put a backup in its place; docs/how-to/restore.md says how.");
        }
    }

    /// <summary>Begins a writing transaction at once: of two writers the second waits, up to half a minute.</summary>
    /// <exception cref="SqliteException">Another program holds the file (code 5).</exception>
    public StoreTransaction Begin() => Begin(deferred: false);

    /// <summary>Begins a reading transaction: one unchanging view, which never waits for a writer.</summary>
    public StoreTransaction Read() => Begin(deferred: true);

    /// <summary>What SQLite's quick check complains of; empty: nothing. It reads the file once, and no row is worked out.</summary>
    public IReadOnlyList<string> Check()
    {
        using var reading = Read();
        return new DamageSearch(reading).ListComplaints("quick_check");
    }

    /// <summary>Reads the whole file: SQLite's own check, each row against its digest, what belongs together, and the chain of the audit.</summary>
    public FileVerdict FindDamage()
    {
        using var reading = Read();
        return new DamageSearch(reading).Run();
    }

    /// <summary>Lets go of the file.</summary>
    public void Dispose()
    {
        _isClosed = true;
        while (_idle.TryTake(out var connection) || _idleWriter.TryTake(out connection))
            connection.Dispose();
    }

    /// <summary>Sites, products and devices as last read, for the transactions to come.</summary>
    internal Reference? Reference { get; set; }

    /// <summary>Takes a connection back.</summary>
    internal void TakeBack(StoreConnection connection, bool isWriter)
    {
        connection.Statements.TakeBack();
        if (_isClosed)
            connection.Dispose();
        else
            (isWriter ? _idleWriter : _idle).Add(connection);
    }

    /// <summary>Lets the next writer of this process begin.</summary>
    internal void EndWriting() => _writer.Release();

    // Nothing but the schema is read when a file is opened: what cannot be read of it was changed.
    private static bool IsDamage(Exception failure) => failure is SqliteException sqlite
        ? sqlite.SqliteErrorCode == SchemaError || DamagedRowException.IsDamage(sqlite)
        : failure is InvalidCastException or FormatException or OverflowException or System.Data.DataException;

    // Writers of this process wait for one another here, in turn: SQLite's own waiting is a try every now and then, which one that writes without a
    // pause wins each time.
    private void BeginWriting()
    {
        if (!_writer.Wait(TimeSpan.FromSeconds(_busySeconds)))
            throw new SqliteException("another part of this program is writing", SQLitePCL.raw.SQLITE_BUSY);
    }

    private StoreTransaction Begin(bool deferred)
    {
        if (!deferred)
            BeginWriting();
        StoreConnection? connection = null;
        try
        {
            connection = (deferred ? _idle : _idleWriter).TryTake(out var idle) ? idle : Connect();
            return new StoreTransaction(this, connection, connection.Sqlite.BeginTransaction(deferred), isWriting: !deferred);
        }
        catch
        {
            connection?.Dispose();
            if (!deferred)
                EndWriting();
            throw;
        }
    }

    internal StoreConnection Connect() => new(_connectionString, _busySeconds);
}
