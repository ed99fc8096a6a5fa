using System;
using System.Globalization;
using System.Text;
using Microsoft.Data.Sqlite;
using NodaTime;
using NodaTime.Text;
using Xunit;

namespace RefillPlanner.Store.Tests;

/// <summary>Values as they stand in the file, and as they are read again.</summary>
public sealed class ColumnTests
{
    private static readonly InstantPattern Pattern = InstantPattern.Create("uuuu-MM-dd'T'HH:mm:ss.fff'Z'", CultureInfo.InvariantCulture);

    [Fact]
    public void An_instant_is_written_as_NodaTime_writes_it_and_read_as_the_same()
    {
        var random = new Random(20260302);
        for (var i = 0; i < 20_000; i++)
        {
            var instant = Instant.FromUtc(1900, 1, 1, 0, 0) + Duration.FromMilliseconds(random.NextInt64(0, 300L * 366 * 86_400_000));
            Assert.Equal(Pattern.Format(instant), Moments.Format(instant));
            Assert.Equal(instant, Moments.Read(Encoding.UTF8.GetBytes(Moments.Format(instant))));
        }

        var between = Instant.FromUtc(2026, 3, 2, 12, 0) + Duration.FromNanoseconds(1_999_999);
        Assert.Equal("2026-03-02T12:00:00.001Z", Moments.Format(between));
    }

    [Theory]
    [InlineData("")]
    [InlineData("2026-03-02")]
    [InlineData("2026-03-02 12:00:00.000Z")]
    [InlineData("2026-13-02T12:00:00.000Z")]
    [InlineData("2026-02-30T12:00:00.000Z")]
    [InlineData("2026-03-02T24:00:00.000Z")]
    [InlineData("2026-03-02T12:00:00.0x0Z")]
    [InlineData("2026-03-02T12:00:00.000+")]
    public void What_is_no_instant_is_refused_with_the_text(string text)
    {
        var refusal = Assert.Throws<InvalidOperationException>(() => Moments.Read(Encoding.UTF8.GetBytes(text)));
        Assert.Contains($"\"{text}\"", refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_date_is_written_with_four_digits_two_and_two()
    {
        Span<byte> bytes = stackalloc byte[Columns.DateWidth];
        Columns.Write(new LocalDate(2026, 3, 2), bytes);
        Assert.Equal("2026-03-02", Encoding.ASCII.GetString(bytes));
        Assert.Throws<ArgumentOutOfRangeException>(() => Columns.Write(new LocalDate(-1, 3, 2), new byte[Columns.DateWidth]));
    }

    [Fact]
    public void Every_value_comes_back_as_it_was_given_also_no_text_no_bytes_and_a_NUL_within()
    {
        using var connection = new SqliteConnection("Data Source=:memory:");
        connection.Open();
        using (var table = new PreparedStatement(connection, "CREATE TABLE kept (a, b, c, d, e, f, g, digest);"))
            table.Run();
        using (var insert = new PreparedStatement(connection, "INSERT INTO kept VALUES (?, ?, ?, ?, ?, ?, ?, ?);"))
        {
            insert.BeginDigest().Bind("").Bind((string?)null).Bind("a\0b ñ").Bind(long.MinValue).Bind([]).Bind([1, 0, 2]).Bind(new string('ñ', 5_000)).BindDigest().Run();
        }

        using var select = new PreparedStatement(connection, "SELECT a, b, c, d, e, f, g, digest, typeof(a), typeof(e) FROM kept;");
        foreach (var isHeld in new[] { false, true })
        {
            Assert.True(select.Next(), "a row");
            if (isHeld)
                Assert.True(select.IsWhole(7), "the digest is of these values");
            Assert.Equal(("", true, "a\0b ñ", long.MinValue), (select.Text(0), select.IsNull(1), select.Text(2), select.Long(3)));
            Assert.Equal([], select.Bytes(4));
            Assert.Equal([1, 0, 2], select.Bytes(5));
            Assert.Equal(new string('ñ', 5_000), select.Text(6));
            Assert.Equal(("text", "blob"), (select.Text(8), select.Text(9)));
            Assert.False(select.Next(), "one row");
        }
    }

    [Fact]
    public void The_columns_of_one_row_are_not_taken_for_those_of_the_next()
    {
        using var connection = new SqliteConnection("Data Source=:memory:");
        connection.Open();
        var digests = (RowDigest.Empty.With("first").With(1L).Value, RowDigest.Empty.With("second, longer").WithNull().Value);
        using var select = new PreparedStatement(connection, $"SELECT 'first', 1, {digests.Item1} UNION ALL SELECT 'second, longer', NULL, {digests.Item2};");
        Assert.True(select.Next() && select.IsWhole(2), "first row");
        Assert.True(select.Next(), "second row");
        Assert.Equal(("second, longer", true), (select.Text(0), select.IsNull(1)));
        Assert.True(select.IsWhole(2), "second row");
        Assert.Equal(("second, longer", null), (select.Text(0), select.WholeOrNull(1)));
    }
}
