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

/// <summary>Applies the numbered files of <c>sql/sqlite</c>, each once, in order, in a transaction of its own.</summary>
public static class Migrator
{
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
    /// <exception cref="SchemaException">The file is newer than the program, or an applied migration has changed.</exception>
    public static void Apply(SqliteConnection connection, Instant now) => Apply(connection, now, List());

    internal static void Apply(SqliteConnection connection, Instant now, IReadOnlyList<Migration> migrations)
    {
        connection.Execute("""
            CREATE TABLE IF NOT EXISTS schema_migrations (
                number INTEGER NOT NULL PRIMARY KEY,
                name TEXT NOT NULL,
                checksum TEXT NOT NULL,
                applied_at TEXT NOT NULL
            ) STRICT;
            """);
        foreach (var applied in connection.Query<(long Number, string Name, string Checksum)>("SELECT number, name, checksum FROM schema_migrations ORDER BY number;"))
        {
            var known = migrations.FirstOrDefault(migration => migration.Number == applied.Number)
                ?? throw new SchemaException($"The database was written by a newer version of this program (migration {applied.Number}, {applied.Name}): use that version, or restore a backup made before the upgrade.");
            if (known.Checksum != applied.Checksum)
                throw new SchemaException($"Migration {known.Name} was applied to this database with other content than this program carries: the database and the program do not belong together.");
        }

        connection.CreateFunction("audit_hash", AuditChain.Begin());
        connection.CreateFunction("sha256_start", (string text) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)))[..32]);
        var last = connection.ExecuteScalar<long?>("SELECT max(number) FROM schema_migrations;") ?? 0;
        foreach (var migration in migrations.Where(migration => migration.Number > last))
        {
            using var transaction = connection.BeginTransaction(deferred: false);
            connection.Execute(migration.Sql, transaction: transaction);
            connection.Execute(
                "INSERT INTO schema_migrations (number, name, checksum, applied_at) VALUES (@Number, @Name, @Checksum, @now);",
                new { migration.Number, migration.Name, migration.Checksum, now },
                transaction);
            transaction.Commit();
        }
    }

    private static Migration Read(Assembly assembly, string resource)
    {
        using var reader = new StreamReader(assembly.GetManifestResourceStream(resource)!, Encoding.UTF8);
        var sql = reader.ReadToEnd();
        var name = resource["sqlite/".Length..];
        return new Migration(int.Parse(name[..4], CultureInfo.InvariantCulture), name, sql);
    }
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
