using System;
using System.Buffers.Binary;
using System.Globalization;
using System.IO.Hashing;
using System.Text;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>
/// A number made from the values of a row, column by column, as they stand in the file: kept in the row, and worked out again whenever the row
/// is read. SQLite does not notice a flipped byte that turns 0.5 into 5; this does. 64 bits of XXH3, against accidents, not against malice.
/// </summary>
internal readonly struct RowDigest
{
    private const ulong Null = 0x9e3779b97f4a7c15;
    private readonly ulong _value;

    private RowDigest(ulong value) => _value = value;

    /// <summary>Of no columns.</summary>
    public static RowDigest Empty => default;

    /// <summary>As it stands in a column.</summary>
    public long Value => (long)_value;

    /// <summary>With a column that holds a text, given in UTF-8, or bytes.</summary>
    public RowDigest With(ReadOnlySpan<byte> bytes) => new(XxHash3.HashToUInt64(bytes, (long)_value) + 1);

    /// <summary>With a column that holds a text; null: NULL.</summary>
    public RowDigest With(string? text)
    {
        if (text is null)
            return WithNull();
        var bytes = text.Length <= 256 ? stackalloc byte[3 * 256] : new byte[3 * text.Length];
        return With(bytes[..Encoding.UTF8.GetBytes(text, bytes)]);
    }

    /// <summary>With a column that holds a whole number; null: NULL.</summary>
    public RowDigest With(long? number)
    {
        if (number is not long value)
            return WithNull();
        Span<byte> bytes = stackalloc byte[sizeof(long)];
        BinaryPrimitives.WriteInt64LittleEndian(bytes, value);
        return new(XxHash3.HashToUInt64(bytes, (long)~_value));
    }

    /// <summary>With a column that holds a date; null: NULL.</summary>
    public RowDigest With(LocalDate? date)
    {
        if (date is not LocalDate value)
            return WithNull();
        Span<byte> bytes = stackalloc byte[Columns.DateWidth];
        Columns.Write(value, bytes);
        return With(bytes);
    }

    /// <summary>With a column that holds an instant.</summary>
    public RowDigest With(Instant instant)
    {
        Span<byte> bytes = stackalloc byte[Moments.Width];
        Moments.Write(instant, bytes);
        return With(bytes);
    }

    /// <summary>With a column that holds NULL.</summary>
    public RowDigest WithNull() => new((_value ^ Null) * 0xbf58476d1ce4e5b9 + 1);

    /// <summary>Two digests as one; the order does not matter, and combined once more with one of them the other is left.</summary>
    public static long Combine(long one, long other) => one ^ other;

    /// <summary>Of values as SQLite hands them to a function.</summary>
    /// <exception cref="InvalidOperationException">A value is neither text, whole number, bytes nor NULL.</exception>
    public static long Of(object?[] values)
    {
        var digest = Empty;
        foreach (var value in values)
        {
            digest = value switch
            {
                null or DBNull => digest.WithNull(),
                string text => digest.With(text),
                long number => digest.With(number),
                byte[] bytes => digest.With(bytes),
                _ => throw new InvalidOperationException(string.Create(CultureInfo.InvariantCulture, $"No column holds a {value.GetType().Name}.")),
            };
        }

        return digest.Value;
    }
}
