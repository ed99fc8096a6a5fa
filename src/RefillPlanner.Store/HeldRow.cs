using System;

namespace RefillPlanner.Store;

/// <summary>
/// The columns of the present row that its digest was worked out of: each is fetched from SQLite once, because fetching costs more than hashing.
/// </summary>
internal struct HeldRow
{
    private Column[]? _columns;
    private byte[]? _bytes;
    private int _used;
    private int _row;

    private enum Kind : byte
    {
        Null,
        Number,
        Bytes,
    }

    /// <summary>Lets go of the row.</summary>
    public void Clear() => (_row, _used) = (_row + 1, 0);

    /// <summary>Holds NULL.</summary>
    public void HoldNull(int column) => Of(column) = new Column(Kind.Null, _row, 0, 0);

    /// <summary>Holds a whole number.</summary>
    public void Hold(int column, long number) => Of(column) = new Column(Kind.Number, _row, number, 0);

    /// <summary>Holds a text in UTF-8, or bytes.</summary>
    public void Hold(int column, ReadOnlySpan<byte> bytes)
    {
        if (_bytes is null || _bytes.Length - _used < bytes.Length)
            Array.Resize(ref _bytes, int.Max(512, 2 * (_used + bytes.Length)));
        bytes.CopyTo(_bytes.AsSpan(_used));
        Of(column) = new Column(Kind.Bytes, _row, _used, bytes.Length);
        _used += bytes.Length;
    }

    /// <summary>Whether a column holds NULL; null: it is not held.</summary>
    public readonly bool? IsNull(int column) => Find(column) is Column held ? held.Kind == Kind.Null : null;

    /// <summary>The whole number that a column holds; null: it is not held, or not as a number.</summary>
    public readonly long? FindNumber(int column) => Find(column) is { Kind: Kind.Number } held ? held.Value : null;

    /// <summary>The bytes that a column holds; false: it is not held, or not as bytes.</summary>
    public readonly bool TryFind(int column, out ReadOnlySpan<byte> bytes)
    {
        if (Find(column) is { Kind: Kind.Bytes } held)
        {
            bytes = _bytes.AsSpan((int)held.Value, held.Length);
            return true;
        }

        bytes = default;
        return false;
    }

    private readonly Column? Find(int column) => _columns is not null && column < _columns.Length && _columns[column] is var held && held.Row == _row ? held : null;

    private ref Column Of(int column)
    {
        if (_columns is null || _columns.Length <= column)
            Array.Resize(ref _columns, int.Max(16, 2 * column));
        return ref _columns[column];
    }

    // Value: the number, or where the bytes begin.
    private readonly record struct Column(Kind Kind, int Row, long Value, int Length);
}
