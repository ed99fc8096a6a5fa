using System;
using System.Text;
using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>Writes values one after the other: whole numbers of variable length (seven bits a byte, small ones short), texts in UTF-8 with their length.</summary>
internal sealed class PackWriter
{
    private byte[] _bytes = new byte[512];
    private int _count;
    private int _day;

    public byte[] ToArray() => _bytes.AsSpan(0, _count).ToArray();

    public void Long(long value)
    {
        Room(10);
        var rest = (ulong)((value << 1) ^ (value >> 63));
        for (; rest > 0x7f; rest >>= 7)
            _bytes[_count++] = (byte)(rest | 0x80);
        _bytes[_count++] = (byte)rest;
    }

    public void Whole(int value) => Long(value);

    public void WholeOrNull(int? value) => Long(value is int known ? known + 1L : 0);

    /// <summary>A date, counted from the one written before.</summary>
    public void Day(LocalDate? date)
    {
        if (date is not LocalDate known)
        {
            Long(0);
            return;
        }

        var day = DayNumber.Of(known);
        Long(day >= _day ? day - _day + 1 : day - _day);
        _day = day;
    }

    public void Text(string? text)
    {
        if (text is null)
        {
            Long(-1);
            return;
        }

        var length = Encoding.UTF8.GetByteCount(text);
        Long(length);
        Room(length);
        _count += Encoding.UTF8.GetBytes(text, _bytes.AsSpan(_count));
    }

    private void Room(int more)
    {
        if (_bytes.Length - _count < more)
            Array.Resize(ref _bytes, int.Max(2 * _bytes.Length, _count + more));
    }
}

/// <summary>Reads what a <see cref="PackWriter"/> wrote, in the same order.</summary>
internal ref struct PackReader(ReadOnlySpan<byte> bytes)
{
    private readonly ReadOnlySpan<byte> _bytes = bytes;
    private int _place;
    private int _day;

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

    public int Whole() => (int)Long();

    public int? WholeOrNull() => Long() is > 0 and var value ? (int)(value - 1) : null;

    public LocalDate? Day()
    {
        var days = Long();
        if (days == 0)
            return null;
        _day += (int)(days > 0 ? days - 1 : days);
        return DayNumber.Date(_day);
    }

    public string? Text()
    {
        var length = Whole();
        if (length < 0)
            return null;
        var text = Encoding.UTF8.GetString(_bytes.Slice(_place, length));
        _place += length;
        return text;
    }
}
