using System;
using System.Collections.Generic;
using System.Globalization;
using System.Text;
using Microsoft.Data.Sqlite;
using NodaTime;
using RefillPlanner.Core.Ledger;
using SQLitePCL;

namespace RefillPlanner.Store;

/// <summary>
/// A statement prepared once and run as often as a roster has rows. It speaks to SQLite without a mapper between, because by the
/// million a mapper costs more than the database.
/// </summary>
internal sealed class PreparedStatement : IDisposable
{
    private readonly SqliteConnection _connection;
    private readonly sqlite3_stmt _statement;
    private int _bound;

    public PreparedStatement(SqliteConnection connection, string sql)
    {
        _connection = connection;
        Check(raw.sqlite3_prepare_v2(connection.Handle, sql, out _statement));
    }

    /// <summary>Gives the next parameter a text; null: NULL.</summary>
    public PreparedStatement Bind(string? text)
    {
        if (text is null)
            return BindNull();
        if (text.Length == 0)
            return Bound(raw.sqlite3_bind_text(_statement, ++_bound, ""));
        var bytes = text.Length <= 256 ? stackalloc byte[3 * 256] : new byte[3 * text.Length];
        return Bound(raw.sqlite3_bind_text(_statement, ++_bound, bytes[..Encoding.UTF8.GetBytes(text, bytes)]));
    }

    /// <summary>Gives the next parameter a whole number; null: NULL.</summary>
    public PreparedStatement Bind(long? number) => number is long value ? Bound(raw.sqlite3_bind_int64(_statement, ++_bound, value)) : BindNull();

    /// <summary>Gives the next parameter a date as ISO text; null: NULL.</summary>
    public PreparedStatement Bind(LocalDate? date)
    {
        if (date is not LocalDate value)
            return BindNull();
        var (year, month, day) = value;
        Span<byte> bytes =
        [
            (byte)('0' + (year / 1000)), (byte)('0' + (year / 100 % 10)), (byte)('0' + (year / 10 % 10)), (byte)('0' + (year % 10)), (byte)'-',
            (byte)('0' + (month / 10)), (byte)('0' + (month % 10)), (byte)'-', (byte)('0' + (day / 10)), (byte)('0' + (day % 10)),
        ];
        return Bound(raw.sqlite3_bind_text(_statement, ++_bound, bytes));
    }

    /// <summary>Gives the next parameter bytes.</summary>
    public PreparedStatement Bind(ReadOnlySpan<byte> bytes) => Bound(
        bytes.IsEmpty ? raw.sqlite3_bind_zeroblob(_statement, ++_bound, 0) : raw.sqlite3_bind_blob(_statement, ++_bound, bytes));

    /// <summary>Runs a statement that gives no rows; true: it changed something.</summary>
    public bool Run()
    {
        try
        {
            Step();
            return raw.sqlite3_changes(_connection.Handle) > 0;
        }
        finally
        {
            Reset();
        }
    }

    /// <summary>The first row; null: there is none.</summary>
    public T? Find<T>(Func<PreparedStatement, T> read)
        where T : class
    {
        try
        {
            return Step() ? read(this) : null;
        }
        finally
        {
            Reset();
        }
    }

    /// <summary>The number that a statement of one row and column gives; 0 for NULL.</summary>
    public long FindNumber()
    {
        try
        {
            return Step() ? Long(0) : 0;
        }
        finally
        {
            Reset();
        }
    }

    /// <summary>All rows, one by one as they are asked for; until the last of them the statement cannot be run again.</summary>
    public IEnumerable<T> List<T>(Func<PreparedStatement, T> read)
    {
        try
        {
            while (Step())
                yield return read(this);
        }
        finally
        {
            Reset();
        }
    }

    // As bytes, because a text may hold a NUL.
    public string Text(int column) => Encoding.UTF8.GetString(raw.sqlite3_column_blob(_statement, column));

    public string? TextOrNull(int column) => IsNull(column) ? null : Text(column);

    public int Whole(int column) => checked((int)Long(column));

    public int? WholeOrNull(int column) => IsNull(column) ? null : Whole(column);

    public long Long(int column) => raw.sqlite3_column_int64(_statement, column);

    public Volume? VolumeOrNull(int column) => IsNull(column) ? null : new Volume(Long(column));

    public byte[] Bytes(int column) => raw.sqlite3_column_blob(_statement, column).ToArray();

    public LocalDate Date(int column)
    {
        var text = Text(column).AsSpan();
        return new LocalDate(Digits(text[..4]), Digits(text[5..7]), Digits(text[8..]));
    }

    public LocalDate? DateOrNull(int column) => IsNull(column) ? null : Date(column);

    public void Dispose() => _statement.Dispose();

    private static int Digits(ReadOnlySpan<char> text) => int.Parse(text, NumberStyles.None, CultureInfo.InvariantCulture);

    private bool IsNull(int column) => raw.sqlite3_column_type(_statement, column) == raw.SQLITE_NULL;

    private PreparedStatement BindNull() => Bound(raw.sqlite3_bind_null(_statement, ++_bound));

    private PreparedStatement Bound(int result)
    {
        Check(result);
        return this;
    }

    private bool Step()
    {
        var result = raw.sqlite3_step(_statement);
        if (result is not (raw.SQLITE_ROW or raw.SQLITE_DONE))
            Check(result);
        return result == raw.SQLITE_ROW;
    }

    private void Reset()
    {
        _bound = 0;
        raw.sqlite3_reset(_statement);
    }

    private void Check(int result) => SqliteException.ThrowExceptionForRC(result, _connection.Handle);
}
