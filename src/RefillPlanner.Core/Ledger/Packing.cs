using System;
using System.Text;
using NodaTime;

namespace RefillPlanner.Core.Ledger;

/// <summary>
/// Values one after the other as bytes: whole numbers of variable length (seven bits a byte, small ones short), texts in UTF-8 with their
/// length. What is written is read in the same order by a <see cref="PackReader"/>, or only compared.
/// </summary>
public sealed class PackWriter
{
    private const int LongestNumber = 10;

    private byte[] _bytes = new byte[512];
    private int _count;
    private int _day;

    /// <summary>The bytes so far; valid until something is added.</summary>
    public ReadOnlySpan<byte> Bytes => _bytes.AsSpan(0, _count);

    /// <summary>Begins anew.</summary>
    public void Clear() => (_count, _day) = (0, 0);

    /// <summary>Adds a number.</summary>
    public void Add(long number)
    {
        Room(LongestNumber);
        var rest = (ulong)((number << 1) ^ (number >> 63));
        for (; rest > 0x7f; rest >>= 7)
            _bytes[_count++] = (byte)(rest | 0x80);
        _bytes[_count++] = (byte)rest;
    }

    /// <summary>Adds a number, or that there is none.</summary>
    public void Add(long? number) => Add(number is long known ? known >= 0 ? known + 1 : known : 0L);

    /// <summary>Adds yes or no.</summary>
    public void Add(bool answer) => Add(answer ? 1L : 0L);

    /// <summary>Adds a date, counted from the one added before, or that there is none.</summary>
    public void AddDay(LocalDate? date)
    {
        if (date is not LocalDate known)
        {
            Add((long?)null);
            return;
        }

        var day = DayNumber.Of(known);
        Add((long?)(day - _day));
        _day = day;
    }

    /// <summary>Adds a text, or that there is none.</summary>
    public void AddText(string? text)
    {
        if (text is null)
        {
            Add((long?)null);
            return;
        }

        var length = Encoding.UTF8.GetByteCount(text);
        Add((long?)length);
        Room(length);
        _count += Encoding.UTF8.GetBytes(text, _bytes.AsSpan(_count));
    }

    /// <summary>Adds a stamp.</summary>
    internal void Add(Stamp stamp) => Add(unchecked((long)stamp.Value));

    private void Room(int more)
    {
        if (_bytes.Length - _count < more)
            Array.Resize(ref _bytes, int.Max(2 * _bytes.Length, _count + more));
    }
}

/// <summary>Reads what a <see cref="PackWriter"/> wrote, in the same order.</summary>
/// <param name="bytes">The bytes.</param>
public ref struct PackReader(ReadOnlySpan<byte> bytes)
{
    private readonly ReadOnlySpan<byte> _bytes = bytes;
    private int _place;
    private int _day;

    /// <summary>A number.</summary>
    public long Long()
    {
        ulong value = 0;
        for (var shift = 0; ; shift += 7)
        {
            var next = _bytes[_place++];
            value |= (ulong)(next & 0x7f) << shift;
            if (next < 0x80)
                return (long)(value >> 1) ^ -(long)(value & 1);
        }
    }

    /// <summary>A number that fits an <see cref="int"/>.</summary>
    public int Whole() => (int)Long();

    /// <summary>A number that fits an <see cref="int"/>; null: there is none.</summary>
    public int? WholeOrNull() => Long() switch
    {
        0 => null,
        > 0 and var number => (int)(number - 1),
        var number => (int)number,
    };

    /// <summary>A date; null: there is none.</summary>
    public LocalDate? Day()
    {
        if (WholeOrNull() is not int days)
            return null;
        _day += days;
        return DayNumber.Date(_day);
    }

    /// <summary>A text; null: there is none.</summary>
    public string? Text()
    {
        if (WholeOrNull() is not int length)
            return null;
        var text = Encoding.UTF8.GetString(_bytes.Slice(_place, length));
        _place += length;
        return text;
    }
}
