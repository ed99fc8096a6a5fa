using System;
using System.Threading;
using SQLitePCL;

namespace RefillPlanner.Store;

/// <summary>
/// Where SQLite keeps the pages that it needs to undo a single statement: in memory up to 1 MB. Left to itself it goes over to a file at
/// 64 kB, which one insert into a table with two indexes can reach, and stays with the file for every later statement of the transaction.
/// </summary>
internal static class StatementJournals
{
    private const int SpillOption = 26; // SQLITE_CONFIG_STMTJRNL_SPILL
    private const int MostBytes = 1024 * 1024;

    private static readonly Lazy<int> Kept = new(
        () =>
        {
            Batteries_V2.Init();
            return raw.sqlite3_config(SpillOption, MostBytes);
        },
        LazyThreadSafetyMode.ExecutionAndPublication);

    /// <summary>Sets it for the process. Where SQLite runs already it changes nothing, which costs time and does no harm.</summary>
    public static void KeepInMemory() => _ = Kept.Value;
}
