using System;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Store;
using SQLitePCL;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>One prepared INSERT, run again and again; values are bound in the order of the columns, and the digest of the row after them.</summary>
internal sealed class BulkInsert : IDisposable
{
    private readonly sqlite3 _database;
    private readonly sqlite3_stmt _statement;
    private readonly int _columns;
    private readonly bool _isDigested;
    private int _next = 1;
    private RowDigest _digest;

    public BulkInsert(sqlite3 database, string table, string columns, bool isDigested = true)
    {
        (_database, _isDigested) = (database, isDigested);
        columns = isDigested ? $"{columns}, digest" : columns;
        _columns = columns.Split(',').Length;
        Demand(raw.sqlite3_prepare_v2(database, $"INSERT INTO {table} ({columns}) VALUES ({string.Join(", ", System.Linq.Enumerable.Repeat("?", _columns))});", out _statement));
    }

    /// <summary>The digest of the last row.</summary>
    public long Digest { get; private set; }

    public BulkInsert Bind(string? text)
    {
        _digest = _digest.With(text);
        Demand(text is null ? raw.sqlite3_bind_null(_statement, _next) : raw.sqlite3_bind_text(_statement, _next, text));
        _next++;
        return this;
    }

    public BulkInsert Bind(long? number)
    {
        _digest = _digest.With(number);
        Demand(number is long value ? raw.sqlite3_bind_int64(_statement, _next, value) : raw.sqlite3_bind_null(_statement, _next));
        _next++;
        return this;
    }

    public BulkInsert Bind(bool flag) => Bind(flag ? 1 : 0);

    public BulkInsert Bind(Volume? volume) => Bind(volume?.Nanolitres);

    public BulkInsert Bind(LocalDate? date) => Bind(date is LocalDate known ? DayText.Of(known) : null);

    /// <summary>Inserts the row.</summary>
    public void Run()
    {
        if (_isDigested)
        {
            Digest = _digest.Value;
            Bind(Digest);
        }

        if (_next != _columns + 1)
            throw new InvalidOperationException($"{_next - 1} values bound, {_columns} columns.");
        Demand(raw.sqlite3_step(_statement));
        Demand(raw.sqlite3_reset(_statement));
        (_next, _digest) = (1, RowDigest.Empty);
    }

    public void Dispose() => _statement.Dispose();

    private void Demand(int code)
    {
        if (code is not raw.SQLITE_OK and not raw.SQLITE_DONE)
            throw new InvalidOperationException(raw.sqlite3_errmsg(_database).utf8_to_string());
    }
}
