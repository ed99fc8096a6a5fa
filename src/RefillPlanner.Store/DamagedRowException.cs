using System;
using System.Linq;
using Microsoft.Data.Sqlite;

namespace RefillPlanner.Store;

/// <summary>
/// A row does not carry the digest that was made when it was written, or rows are gone: the file was changed behind the program's back, and none of
/// it is used.
/// </summary>
/// <param name="table">The table.</param>
/// <param name="id">The row's id, as far as it can be read.</param>
/// <param name="message">One sentence for a person; null: that the row is damaged.</param>
public sealed class DamagedRowException(string table, string id, string? message = null)
    : Exception(message ?? $"The record of {Printable(id)} in {table} is damaged on disk: none of its numbers is used. Restore a backup, or record it anew.")
{
    private const int Corrupt = 11;
    private const int NotADatabase = 26;

    /// <summary>The table.</summary>
    public string Table => table;

    /// <summary>The row's id, as far as it can be read.</summary>
    public string Id { get; } = Printable(id);

    /// <summary>Rows are missing, or there are some too many.</summary>
    /// <param name="table">The table, or several in words.</param>
    /// <param name="id">What they are about.</param>
    public static DamagedRowException Incomplete(string table, string id) =>
        new(table, id, $"The records of {Printable(id)} in {table} are damaged on disk - some are missing or not theirs: none of their numbers is used. Restore a backup.");

    /// <summary>Whether a failure comes from a file that was changed behind the program's back.</summary>
    public static bool IsDamage(Exception failure) => failure is DamagedRowException or SqliteException { SqliteErrorCode: Corrupt or NotADatabase };

    // A damaged id may hold anything.
    private static string Printable(string id) => string.Concat(id.Select(letter => char.IsControl(letter) ? '?' : letter));
}
