using System;
using System.Collections.Generic;
using System.Globalization;
using System.IO;
using System.Linq;
using System.Reflection;
using System.Security.Cryptography;
using System.Text;
using Dapper;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace RefillPlanner.Store;

/// <summary>
/// Applies the numbered files of <c>sql/sqlite</c>, each once, in order: all that are missing in one transaction, after a copy of a file that is in
/// use. What the schema then is, is sealed: one that was changed otherwise is refused.
/// </summary>
public static class Migrator
{
    private const string Table = """
        CREATE TABLE IF NOT EXISTS schema_migrations (
            number INTEGER NOT NULL PRIMARY KEY,
            name TEXT NOT NULL,
            checksum TEXT NOT NULL,
            applied_at TEXT NOT NULL
        ) STRICT;
        """;

    /// <summary>The files this program carries, in order.</summary>
    public static IReadOnlyList<Migration> List()
    {
        var assembly = Assembly.GetExecutingAssembly();
        return [.. assembly.GetManifestResourceNames()
            .Where(name => name.StartsWith("sqlite/", StringComparison.Ordinal))
            .Order(StringComparer.Ordinal)
            .Select(name => Read(assembly, name))];
    }

    /// <summary>Brings a database to the schema of this program.</summary>
    /// <exception cref="SchemaException">The file is newer than the program, or its schema is not as this program made it.</exception>
    public static void Apply(SqliteConnection connection, Instant now) => Apply(connection, now, List());

    internal static void Apply(SqliteConnection connection, Instant now, IReadOnlyList<Migration> migrations)
    {
        Demand(connection, migrations);
        var applied = Applied(connection);
        var last = applied.Count == 0 ? 0 : applied[^1].Number;
        var missing = migrations.Where(migration => migration.Number > last).ToArray();
        if (missing.Length == 0)
            return;
        if (last > 0)
            KeepCopy(connection, missing[^1]);
        using var transaction = connection.BeginTransaction(deferred: false);
        if (Applied(connection).Count != applied.Count)
            return; // Another program was first.
        connection.CreateFunction("audit_hash", AuditChain.Begin());
        connection.CreateFunction("sha256_start", (string text) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)))[..32]);
        connection.CreateFunction("row_digest", RowDigest.Of, isDeterministic: true);
        connection.CreateAggregate("digests_combined", 0L, (long combined, long digest) => RowDigest.Combine(combined, digest), isDeterministic: true);
        connection.Execute(Table, transaction: transaction);
        foreach (var migration in missing)
        {
            connection.Execute(migration.Sql, transaction: transaction);
            connection.Execute(
                "INSERT INTO schema_migrations (number, name, checksum, applied_at) VALUES (@Number, @Name, @Checksum, @at);",
                new { migration.Number, migration.Name, migration.Checksum, at = Moments.Format(now) },
                transaction);
        }

        Seal(connection);
        transaction.Commit();
    }

    /// <summary>Takes the schema as it is for the one that this program made.</summary>
    internal static void Seal(SqliteConnection connection)
    {
        if (Has(connection, "schema_seal"))
            connection.Execute("INSERT INTO schema_seal (only_row, digest) VALUES (1, @digest) ON CONFLICT (only_row) DO UPDATE SET digest = excluded.digest;", new { digest = Digest(connection) });
    }

    /// <summary>Demands a database of just this program's schema; nothing is written.</summary>
    /// <exception cref="SchemaException">It is older or newer, or its schema is not as this program made it.</exception>
    internal static void DemandWhole(SqliteConnection connection)
    {
        var migrations = List();
        Demand(connection, migrations);
        if (Applied(connection).Count < migrations.Count)
            throw new SchemaException("The database was written by an earlier version of this program: the next start of the service, or any other command, brings it up to date.");
    }

    private static void Demand(SqliteConnection connection, IReadOnlyList<Migration> migrations)
    {
        foreach (var applied in Applied(connection))
        {
            var known = migrations.FirstOrDefault(migration => migration.Number == applied.Number)
                ?? throw new SchemaException($"The database was written by a newer version of this program (migration {applied.Number}, {applied.Name}): use that version, or restore a backup made before the upgrade.");
            if (known.Checksum != applied.Checksum)
                throw new SchemaException($"Migration {known.Name} was applied to this database with other content than this program carries: the database and the program do not belong together.");
        }

        if (Has(connection, "schema_seal") && FindSeal(connection) != Digest(connection))
            throw new SchemaException("The tables of the database are not as this program made them, so that none of it can be relied on: put a backup in its place; docs/how-to/restore.md says how.");
    }

    // Kept: who goes back to the version before puts it back.
    private static void KeepCopy(SqliteConnection connection, Migration newest)
    {
        if (connection.DataSource is not { Length: > 0 } file || !File.Exists(file))
            return;
        var copy = $"{file}.before-{newest.Number:0000}";
        if (File.Exists(copy))
            return;
        var unfinished = copy + ".unfinished";
        File.Delete(unfinished);
        connection.Execute("VACUUM INTO @unfinished;", new { unfinished });
        File.Move(unfinished, copy);
    }

    // Without the mapper: it would take longer to be made ready than all that a start reads.
    private static IReadOnlyList<AppliedMigration> Applied(SqliteConnection connection)
    {
        if (!Has(connection, "schema_migrations"))
            return [];
        using var statement = new PreparedStatement(connection, "SELECT number, name, checksum FROM schema_migrations ORDER BY number;");
        return [.. statement.List(row => new AppliedMigration(row.Long(0), row.Text(1), row.Text(2)))];
    }

    private static bool Has(SqliteConnection connection, string table)
    {
        using var statement = new PreparedStatement(connection, "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = ?;");
        return statement.Bind(table).FindNumber() > 0;
    }

    private static long? FindSeal(SqliteConnection connection)
    {
        using var statement = new PreparedStatement(connection, "SELECT digest FROM schema_seal;");
        return statement.Next() && !statement.IsNull(0) ? statement.Long(0) : null;
    }

    // Where tables begin is left out: VACUUM moves them.
    private static long Digest(SqliteConnection connection)
    {
        var digest = RowDigest.Empty;
        using var statement = new PreparedStatement(connection, "SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_stat%' ORDER BY type, name;");
        while (statement.Next())
            digest = digest.With(statement.Text(0)).With(statement.Text(1)).With(statement.TextOrNull(2));
        foreach (var applied in Applied(connection))
            digest = digest.With(applied.Number).With(applied.Checksum);
        return digest.Value;
    }

    private static Migration Read(Assembly assembly, string resource)
    {
        using var reader = new StreamReader(assembly.GetManifestResourceStream(resource)!, Encoding.UTF8);
        var sql = reader.ReadToEnd();
        var name = resource["sqlite/".Length..];
        return new Migration(int.Parse(name[..4], CultureInfo.InvariantCulture), name, sql);
    }

    private sealed record AppliedMigration(long Number, string Name, string Checksum);
}

/// <summary>One numbered file of SQL.</summary>
/// <param name="Number">Its number, the first four digits of its name.</param>
/// <param name="Name">Its file name.</param>
/// <param name="Sql">What it says.</param>
public sealed record Migration(int Number, string Name, string Sql)
{
    /// <summary>SHA-256 of its text, in hexadecimal.</summary>
    public string Checksum { get; } = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(Sql)));
}
