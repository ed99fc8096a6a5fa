using System;
using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;

namespace RefillPlanner.Store;

/// <summary>
/// The chain of hashes over the audit: each is SHA-256 over the hash before it and the row's columns, each column with its length, so that no
/// row can be changed, taken out or put in between without breaking all that follow.
/// </summary>
internal static class AuditChain
{
    /// <summary>Bytes of a hash.</summary>
    public const int HashBytes = SHA256.HashSizeInBytes;

    private const int MostOnStack = 1_024;

    /// <summary>What stands before the first row.</summary>
    public static readonly byte[] Start = new byte[HashBytes];

    /// <summary>The hash of a row.</summary>
    /// <param name="before">The hash of the row before it, or <see cref="Start"/>.</param>
    /// <param name="id">Its number.</param>
    /// <param name="columns">The other columns, in the order of the table, as they stand in the file; null: NULL.</param>
    public static byte[] Next(ReadOnlySpan<byte> before, long id, params ReadOnlySpan<string?> columns)
    {
        var length = before.Length + sizeof(long);
        foreach (var column in columns)
            length += sizeof(long) + (column is null ? 0 : Encoding.UTF8.GetByteCount(column));
        var row = length <= MostOnStack ? stackalloc byte[length] : new byte[length];
        before.CopyTo(row);
        var rest = Write(row[before.Length..], id);
        foreach (var column in columns)
        {
            rest = Write(rest, column is null ? -1 : Encoding.UTF8.GetBytes(column, rest[sizeof(long)..]));
            rest = column is null ? rest : rest[Encoding.UTF8.GetByteCount(column)..];
        }

        return SHA256.HashData(row);
    }

    /// <summary>Hashes row after row, as SQLite asks for them when a chain is begun with rows that were there before.</summary>
    public static Func<object?[], byte[]> Begin()
    {
        var last = Start;
        return row => last = Next(last, (long)row[0]!, [.. Array.ConvertAll(row[1..], column => column as string)]);
    }

    private static Span<byte> Write(Span<byte> bytes, long value)
    {
        BinaryPrimitives.WriteInt64LittleEndian(bytes, value);
        return bytes[sizeof(long)..];
    }
}
