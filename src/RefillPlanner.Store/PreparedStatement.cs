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
    private readonly nint _handle;
    private int _bound;
    private bool _isRunning;
    private RowDigest? _digest;
    private HeldRow _held;

    public PreparedStatement(SqliteConnection connection, string sql)
    {
        _connection = connection;
        Sql = sql;
        Check(raw.sqlite3_prepare_v2(connection.Handle, sql, out _statement));
        _handle = _statement.DangerousGetHandle();
    }

    /// <summary>Whether it is bound, or its rows are being read.</summary>
    public bool IsBusy => _bound > 0 || _isRunning;

    /// <summary>What it says.</summary>
    public string Sql { get; }

    /// <summary>The digest that was bound last.</summary>
    public long BoundDigest { get; private set; }

    /// <summary>From here on what is bound goes into the row's digest.</summary>
    public PreparedStatement BeginDigest()
    {
        _digest = RowDigest.Empty;
        return this;
    }

    /// <summary>Gives the next parameter the digest of what was bound since <see cref="BeginDigest"/>.</summary>
    public PreparedStatement BindDigest()
    {
        BoundDigest = _digest!.Value.Value;
        _digest = null;
        return Bind(BoundDigest);
    }

    /// <summary>Gives the next parameter a text; null: NULL.</summary>
    public PreparedStatement Bind(string? text)
    {
        if (text is null)
            return BindNull();
        var bytes = text.Length <= 256 ? stackalloc byte[3 * 256] : new byte[3 * text.Length];
        return BindText(bytes[..Encoding.UTF8.GetBytes(text, bytes)]);
    }

    /// <summary>Gives the next parameter a whole number; null: NULL.</summary>
    public PreparedStatement Bind(long? number)
    {
        if (number is not long value)
            return BindNull();
        _digest = _digest?.With(value);
        return Bound(ShortCalls.Bind(_handle, ++_bound, value));
    }

    /// <summary>Gives the next parameter a date as ISO text; null: NULL.</summary>
    public PreparedStatement Bind(LocalDate? date)
    {
        if (date is not LocalDate value)
            return BindNull();
        Span<byte> bytes = stackalloc byte[Columns.DateWidth];
        Columns.Write(value, bytes);
        return BindText(bytes);
    }

    /// <summary>Gives the next parameter an instant as text of one width.</summary>
    public PreparedStatement Bind(Instant instant)
    {
        Span<byte> bytes = stackalloc byte[Moments.Width];
        Moments.Write(instant, bytes);
        return BindText(bytes);
    }

    /// <summary>Gives the next parameter bytes.</summary>
    public PreparedStatement Bind(ReadOnlySpan<byte> bytes)
    {
        _digest = _digest?.With(bytes);
        return Bound(ShortCalls.BindBlob(_handle, ++_bound, bytes));
    }

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

    /// <summary>Goes to the next row, to be read column by column; false: there is none, and the statement can be run again.</summary>
    public bool Next()
    {
        if (Step())
            return true;
        Reset();
        return false;
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

    /// <summary>Whether columns of the row still make the digest that stands in the column after them.</summary>
    /// <param name="columns">How many columns the digest is of, from the first one on.</param>
    /// <param name="from">The first of them.</param>
    public bool IsWhole(int columns, int from = 0)
    {
        var digest = RowDigest.Empty;
        for (var column = from; column < from + columns; column++)
        {
            switch (ShortCalls.TypeOf(_handle, column))
            {
                case raw.SQLITE_NULL:
                    _held.HoldNull(column);
                    digest = digest.WithNull();
                    break;
                case raw.SQLITE_INTEGER:
                    _held.Hold(column, Long(column));
                    digest = digest.With(Long(column));
                    break;
                default:
                    _held.Hold(column, Span(column));
                    digest = digest.With(Span(column));
                    break;
            }
        }

        return ShortCalls.TypeOf(_handle, from + columns) == raw.SQLITE_INTEGER && digest.Value == Long(from + columns);
    }

    /// <summary>Returns when the row is as it was written; its id stands in the first of the columns.</summary>
    /// <param name="table">The table it is from.</param>
    /// <param name="columns">How many columns the digest is of; it stands in the column after them.</param>
    /// <param name="from">The first of them.</param>
    /// <exception cref="DamagedRowException">It is not.</exception>
    public PreparedStatement Whole(string table, int columns, int from = 0) => IsWhole(columns, from) ? this : throw new DamagedRowException(table, Text(from));

    // As bytes, because a text may hold a NUL.
    public string Text(int column) => Encoding.UTF8.GetString(Span(column));

    public string? TextOrNull(int column) => IsNull(column) ? null : Text(column);

    public int Whole(int column) => checked((int)Long(column));

    public int? WholeOrNull(int column) => IsNull(column) ? null : Whole(column);

    public long Long(int column) => _held.FindNumber(column) ?? ShortCalls.Long(_handle, column);

    public Volume? VolumeOrNull(int column) => IsNull(column) ? null : new Volume(Long(column));

    /// <summary>The bytes of a column, until the next row.</summary>
    public ReadOnlySpan<byte> Span(int column) => _held.TryFind(column, out var bytes) ? bytes : ShortCalls.Bytes(_handle, column);

    public Amount? AmountOrNull(int column) => IsNull(column) ? null : new Amount(Long(column));

    public byte[] Bytes(int column) => Span(column).ToArray();

    public LocalDate Date(int column)
    {
        var text = Span(column);
        return text.Length == 10
            ? new LocalDate(Digits(text[..4]), Digits(text[5..7]), Digits(text[8..]))
            : throw new InvalidOperationException($"The database holds \"{Text(column)}\" where a date is expected.");
    }

    public Instant Moment(int column) => Moments.Read(Span(column));

    public LocalDate? DateOrNull(int column) => IsNull(column) ? null : Date(column);

    public void Dispose() => _statement.Dispose();

    private static int Digits(ReadOnlySpan<byte> text) => int.Parse(text, NumberStyles.None, CultureInfo.InvariantCulture);

    /// <summary>Whether a column holds NULL.</summary>
    public bool IsNull(int column) => _held.IsNull(column) ?? ShortCalls.TypeOf(_handle, column) == raw.SQLITE_NULL;

    private PreparedStatement BindNull()
    {
        _digest = _digest?.WithNull();
        return Bound(ShortCalls.BindNull(_handle, ++_bound));
    }

    private PreparedStatement BindText(ReadOnlySpan<byte> bytes)
    {
        _digest = _digest?.With(bytes);
        return Bound(ShortCalls.BindText(_handle, ++_bound, bytes));
    }

    private PreparedStatement Bound(int result)
    {
        Check(result);
        return this;
    }

    private bool Step()
    {
        _held.Clear();
        var result = raw.sqlite3_step(_statement);
        if (result is not (raw.SQLITE_ROW or raw.SQLITE_DONE))
            Check(result);
        return _isRunning = result == raw.SQLITE_ROW;
    }

    /// <summary>Ends its run, if one is under way.</summary>
    public void Reset()
    {
        (_bound, _isRunning, _digest) = (0, false, null);
        _held.Clear();
        raw.sqlite3_reset(_statement);
    }

    private void Check(int result) => SqliteException.ThrowExceptionForRC(result, _connection.Handle);
}
