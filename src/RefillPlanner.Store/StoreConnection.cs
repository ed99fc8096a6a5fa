using System;
using Microsoft.Data.Sqlite;
using SQLitePCL;

namespace RefillPlanner.Store;

/// <summary>A connection with the statements prepared on it; it serves one transaction after the other.</summary>
internal sealed class StoreConnection : IDisposable
{
    // Pages of the file kept in memory, in kibibytes: what a transaction changes is not written out before its end.
    private const int CacheKibibytes = 16 * 1024;

    // Pages in the write-ahead log before they are carried over into the file.
    private const int PagesInLog = 4_000;

    // What a statement changed is kept apart until it ends, in memory up to so many bytes: twice what SQLite would, and less than 128 KiB, which is
    // the most that it can write at once when it needs a file after all.
    private const int StatementBytes = 124 * 1024;
    private const int StatementBytesInMemory = 26; // SQLITE_CONFIG_STMTJRNL_SPILL

    // Must be said before the first connection of the process; later it is refused, and all works as before, only slower. A connection is used by
    // one thread at a time: SQLite need not lock at each call, nor count what it holds.
    static StoreConnection()
    {
        Batteries_V2.Init();
        _ = raw.sqlite3_config(raw.SQLITE_CONFIG_MULTITHREAD);
        _ = raw.sqlite3_config(raw.SQLITE_CONFIG_MEMSTATUS, 0);
        _ = raw.sqlite3_config(StatementBytesInMemory, StatementBytes);
    }

    /// <summary>Opens the file.</summary>
    /// <param name="connectionString">Where it is.</param>
    /// <param name="busySeconds">How long a statement waits for another that holds the file.</param>
    public StoreConnection(string connectionString, int busySeconds)
    {
        Sqlite = new SqliteConnection(connectionString);
        Sqlite.Open();
        Sqlite.CreateFunction("row_digest", RowDigest.Of, isDeterministic: true);
        Execute($"PRAGMA busy_timeout = {busySeconds * 1_000}; PRAGMA synchronous = FULL; PRAGMA cache_size = -{CacheKibibytes}; PRAGMA wal_autocheckpoint = {PagesInLog};");
        Statements = new Statements(Sqlite);
    }

    /// <summary>The connection.</summary>
    public SqliteConnection Sqlite { get; }

    /// <summary>Its prepared statements.</summary>
    public Statements Statements { get; }

    /// <summary>Runs a statement that gives no rows, once.</summary>
    public void Execute(string sql, params ReadOnlySpan<(string Name, string Value)> parameters)
    {
        using var command = Sqlite.CreateCommand();
        command.CommandText = sql;
        foreach (var (name, value) in parameters)
            command.Parameters.AddWithValue(name, value);
        command.ExecuteNonQuery();
    }

    public void Dispose()
    {
        Statements.Dispose();
        Sqlite.Dispose();
    }
}
