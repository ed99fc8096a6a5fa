using System;
using System.Buffers.Binary;
using System.Collections.Generic;
using System.Linq;
using System.Security.Cryptography;
using System.Text;

namespace RefillPlanner.Faults.Tests.Checker;

/// <summary>Works the chain of hashes over the audit out once more, from its description and not with the program's own code.</summary>
internal static class AuditCheck
{
    /// <summary>Where the chain does not hold, and where it says something else of a task or a message than its row.</summary>
    public static IEnumerable<string> Run(DatabaseRecord record) =>
    [
        .. BrokenLinks(record.Audit),
        .. Contradictions(record.Audit, "task", record.Tasks.Select(task => (task.Key, task.State))),
        .. Contradictions(record.Audit, "message", record.Messages.Select(message => (message.Key, message.State))),
    ];

    private static IEnumerable<string> BrokenLinks(IReadOnlyList<AuditRow> audit)
    {
        var before = new byte[SHA256.HashSizeInBytes];
        var last = 0L;
        foreach (var row in audit)
        {
            if (row.Id != last + 1)
                yield return $"audit: row {row.Id} follows row {last}";
            if (!Next(before, row).AsSpan().SequenceEqual(row.Hash))
                yield return $"audit: row {row.Id} ({string.Join(", ", row.Columns.Take(4))}) does not carry the hash of its content and of the row before it";
            (before, last) = (row.Hash, row.Id);
        }
    }

    // A row without its hash at the end of the chain is missed by what it should have said. What begins with a digit is the day to which a task was put off.
    private static IEnumerable<string> Contradictions(IReadOnlyList<AuditRow> audit, string what, IEnumerable<(string Key, string State)> rows)
    {
        var last = audit.Where(row => row.Columns[2] == what && row.Columns[5] is { Length: > 0 } after && !char.IsAsciiDigit(after[0])).GroupBy(row => row.Columns[3]!).ToDictionary(group => group.Key, group => group.Last().Columns[5]);
        return from row in rows
               where last.GetValueOrDefault(row.Key) != row.State
               select $"audit: {what} {row.Key} is {row.State}, and the audit has it {last.GetValueOrDefault(row.Key) ?? "not at all"}";
    }

    // SHA-256 over the hash before, the row's number, and each column with its length; -1 for NULL. Numbers are 64 bits, the lowest byte first.
    private static byte[] Next(byte[] before, AuditRow row)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(before);
        hash.AppendData(Bytes(row.Id));
        foreach (var column in row.Columns)
        {
            hash.AppendData(Bytes(column is null ? -1 : Encoding.UTF8.GetByteCount(column)));
            hash.AppendData(Encoding.UTF8.GetBytes(column ?? string.Empty));
        }

        return hash.GetHashAndReset();
    }

    private static byte[] Bytes(long number)
    {
        var bytes = new byte[sizeof(long)];
        BinaryPrimitives.WriteInt64LittleEndian(bytes, number);
        return bytes;
    }
}
