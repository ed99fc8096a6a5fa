using System;
using System.Diagnostics;
using System.Linq;
using System.Reflection;
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
    private const int MostPlaces = 3;

    /// <summary>Type and place, the innermost first, such as <c>InvalidOperationException at OutboxStore.Move &lt; OutboxDelivery.Mark</c>.</summary>
    public static string Of(Exception fault)
    {
        var innermost = Innermost(fault);
        var places = new StackTrace(innermost).GetFrames().Select(frame => Place(frame.GetMethod())).OfType<string>().Distinct().Take(MostPlaces).ToArray();
        var where = places.Length == 0 ? string.Empty : " at " + string.Join(" < ", places);
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

    // Type and method of this program's; null: another's. What the compiler made of a lambda or an asynchronous method bears the name that it was written under.
    private static string? Place(MethodBase? method)
    {
        if (method?.DeclaringType?.FullName?.StartsWith(Ours, StringComparison.Ordinal) != true)
            return null;
        var type = method.DeclaringType;
        var name = Written(type.Name) ?? Written(method.Name) ?? method.Name;
        while (type.Name.StartsWith('<') && type.DeclaringType is Type outer)
            type = outer;
        return $"{type.Name}.{name}";
    }

    private static string? Written(string name) => name.StartsWith('<') && name.IndexOf('>', StringComparison.Ordinal) is > 1 and var end ? name[1..end] : null;
}
