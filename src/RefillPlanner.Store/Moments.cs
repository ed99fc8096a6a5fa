using System;
using System.Globalization;
using System.Text;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>Instants as they stand in a column: <c>2026-03-02T17:00:00.000Z</c>, of one width, so that text order is time order.</summary>
internal static class Moments
{
    /// <summary>How many characters.</summary>
    public const int Width = 24;

    private const int MillisecondNanoseconds = 1_000_000;

    /// <summary>An instant as text; what is less than a millisecond is left out.</summary>
    public static string Format(Instant instant)
    {
        Span<byte> bytes = stackalloc byte[Width];
        Write(instant, bytes);
        return Encoding.ASCII.GetString(bytes);
    }

    /// <summary>Writes an instant in UTF-8.</summary>
    /// <param name="instant">Of a year from 0 to 9999.</param>
    /// <param name="bytes">Just <see cref="Width"/> of them.</param>
    /// <exception cref="ArgumentOutOfRangeException">The year has not four digits.</exception>
    public static void Write(Instant instant, Span<byte> bytes)
    {
        var time = instant.InUtc().LocalDateTime;
        Columns.Write(time.Date, bytes);
        (bytes[10], bytes[13], bytes[16], bytes[19], bytes[23]) = ((byte)'T', (byte)':', (byte)':', (byte)'.', (byte)'Z');
        Columns.WriteDigits(bytes[11..13], time.Hour);
        Columns.WriteDigits(bytes[14..16], time.Minute);
        Columns.WriteDigits(bytes[17..19], time.Second);
        Columns.WriteDigits(bytes[20..23], time.Millisecond);
    }

    /// <summary>Reads an instant.</summary>
    /// <exception cref="InvalidOperationException">The column holds none.</exception>
    public static Instant Read(ReadOnlySpan<byte> text)
    {
        try
        {
            if (text.Length == Width && text[4] == '-' && text[7] == '-' && text[10] == 'T' && text[13] == ':' && text[16] == ':' && text[19] == '.' && text[23] == 'Z')
                return Instant.FromUtc(Number(text[..4]), Number(text[5..7]), Number(text[8..10]), Number(text[11..13]), Number(text[14..16]), Number(text[17..19]))
                    + Duration.FromNanoseconds(Number(text[20..23]) * MillisecondNanoseconds);
        }
        catch (Exception mistake) when (mistake is FormatException or ArgumentOutOfRangeException)
        {
        }

        throw new InvalidOperationException($"The database holds \"{Encoding.UTF8.GetString(text)}\" where an instant is expected.");
    }

    private static int Number(ReadOnlySpan<byte> digits) => int.Parse(digits, NumberStyles.None, CultureInfo.InvariantCulture);
}
