using System;
using System.Diagnostics;
using System.Linq;
using Microsoft.Data.Sqlite;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// What may be said of an exception in a log: its type and its place in this program. Its message is left out unless it is one of this
/// program's own, since that of another may hold a patient's data.
/// </summary>
public static class FaultText
{
    private const string Ours = "RefillPlanner";

    /// <summary>Type and place, such as <c>InvalidOperationException at OutboxStore.Move</c>.</summary>
    public static string Of(Exception fault)
    {
        var innermost = Innermost(fault);
        var place = new StackTrace(innermost).GetFrames()
            .Select(frame => frame.GetMethod())
            .FirstOrDefault(method => method?.DeclaringType?.FullName?.StartsWith(Ours, StringComparison.Ordinal) == true);
        var where = place is null ? string.Empty : $" at {TypeName(place.DeclaringType!)}.{place.Name}";
        return innermost switch
        {
            SqliteException sqlite => $"SqliteException {sqlite.SqliteErrorCode} ({sqlite.SqliteExtendedErrorCode}){where}",
            DamagedRowException or SchemaException => $"{innermost.GetType().Name}{where}: {innermost.Message}",
            _ => innermost.GetType().Name + where,
        };
    }

    /// <summary>Whether the database is busy, away or full, which is nobody's bug: it is tried again.</summary>
    public static bool IsStorageAway(Exception fault) => FindSqliteCode(fault) is 5 or 6 or 8 or 10 or 13 or 14;

    /// <summary>The code of SQLite's that an exception carries, also from work on several threads; null: it is another one.</summary>
    public static int? FindSqliteCode(Exception fault) => (Innermost(fault) as SqliteException)?.SqliteErrorCode;

    private static Exception Innermost(Exception fault) => fault is AggregateException { InnerException: Exception inner } ? Innermost(inner) : fault;

    // Of a method that the compiler made for an asynchronous one or a lambda, the type that it was written in.
    private static string TypeName(Type type) => type.Name.StartsWith('<') && type.DeclaringType is Type outer ? $"{TypeName(outer)}{type.Name.Split('>')[0].Replace('<', '.')}" : type.Name;
}
