using System;
using Microsoft.Data.Sqlite;

namespace RefillPlanner.Store;

/// <summary>A connection with the statements prepared on it; it serves one transaction after the other.</summary>
internal sealed class StoreConnection : IDisposable
{
    // Pages of the file kept in memory, in kibibytes: what a transaction changes is not written out before its end.
    private const int CacheKibibytes = 16 * 1024;

    // Pages in the write-ahead log before they are carried over into the file.
    private const int PagesInLog = 4_000;

    public StoreConnection(string connectionString)
    {
        Sqlite = new SqliteConnection(connectionString);
        Sqlite.Open();
        Sqlite.CreateFunction("row_digest", RowDigest.Of, isDeterministic: true);
        Execute($"PRAGMA synchronous = FULL; PRAGMA cache_size = -{CacheKibibytes}; PRAGMA wal_autocheckpoint = {PagesInLog};");
        Statements = new Statements(Sqlite);
    }

    /// <summary>The connection.</summary>
    public SqliteConnection Sqlite { get; }

    /// <summary>Its prepared statements.</summary>
    public Statements Statements { get; }

    /// <summary>Runs a statement that gives no rows, once.</summary>
    public void Execute(string sql)
    {
        using var command = Sqlite.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    public void Dispose()
    {
        Statements.Dispose();
        Sqlite.Dispose();
    }
}
