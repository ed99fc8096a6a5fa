using System;
using NodaTime;
using RefillPlanner.Core.Ledger;
using SQLitePCL;

namespace RefillPlanner.Benchmarks.Roster;

/// <summary>One prepared INSERT, run again and again; values are bound in the order of the columns.</summary>
internal sealed class BulkInsert : IDisposable
{
    private readonly sqlite3 _database;
    private readonly sqlite3_stmt _statement;
    private readonly int _columns;
    private int _next = 1;

    public BulkInsert(sqlite3 database, string table, string columns)
    {
        _database = database;
        _columns = columns.Split(',').Length;
        Demand(raw.sqlite3_prepare_v2(database, $"INSERT INTO {table} ({columns}) VALUES ({string.Join(", ", System.Linq.Enumerable.Repeat("?", _columns))});", out _statement));
    }

    public BulkInsert Bind(string? text)
    {
        Demand(text is null ? raw.sqlite3_bind_null(_statement, _next) : raw.sqlite3_bind_text(_statement, _next, text));
        _next++;
        return this;
    }

    public BulkInsert Bind(long? number)
    {
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
        if (_next != _columns + 1)
            throw new InvalidOperationException($"{_next - 1} values bound, {_columns} columns.");
        Demand(raw.sqlite3_step(_statement));
        Demand(raw.sqlite3_reset(_statement));
        _next = 1;
    }

    public void Dispose() => _statement.Dispose();

    private void Demand(int code)
    {
        if (code is not raw.SQLITE_OK and not raw.SQLITE_DONE)
            throw new InvalidOperationException(raw.sqlite3_errmsg(_database).utf8_to_string());
    }
}
