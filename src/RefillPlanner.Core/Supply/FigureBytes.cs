using System;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Supply;

/// <summary>Figures in a row as bytes, to be compared with those of the last planning. Small numbers are short.</summary>
internal sealed class FigureBytes
{
    private const long None = long.MinValue;

    private byte[] _bytes = new byte[256];
    private int _count;

    /// <summary>The bytes so far.</summary>
    public ReadOnlySpan<byte> Bytes => _bytes.AsSpan(0, _count);

    /// <summary>Begins anew.</summary>
    public void Clear() => _count = 0;

    /// <summary>Adds a number.</summary>
    public void Add(long number)
    {
        if (_bytes.Length - _count < 10)
            Array.Resize(ref _bytes, 2 * _bytes.Length);
        var rest = (ulong)((number << 1) ^ (number >> 63));
        for (; rest > 0x7f; rest >>= 7)
            _bytes[_count++] = (byte)(rest | 0x80);
        _bytes[_count++] = (byte)rest;
    }

    /// <summary>Adds a number, or that there is none.</summary>
    public void Add(long? number) => Add(number ?? None);

    /// <summary>Adds yes or no.</summary>
    public void Add(bool answer) => Add(answer ? 1L : 0L);

    /// <summary>Adds a stamp.</summary>
    public void Add(Stamp stamp) => Add(unchecked((long)stamp.Value));
}
