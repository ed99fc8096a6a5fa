using System;
using System.Collections.Generic;
using System.Diagnostics;
using RefillPlanner.Benchmarks.Roster;
using SQLitePCL;

namespace RefillPlanner.Benchmarks.Peers;

/// <summary>The same stream by the raw statement in this process, one statement after the other.</summary>
internal static class RawStream
{
    public static Streamed Run(string folder, IReadOnlyList<string> statements)
    {
        using var connection = RosterFile.Connect(folder);
        var clock = Stopwatch.StartNew();
        long rows = 0;
        long courses = 0;
        long sum = 0;
        for (var i = 0; i < statements.Count; i++)
        {
            if (raw.sqlite3_prepare_v2(connection.Handle!, statements[i], out var statement) != raw.SQLITE_OK)
                throw new InvalidOperationException(raw.sqlite3_errmsg(connection.Handle!).utf8_to_string());
            using (statement)
            {
                var columns = raw.sqlite3_column_count(statement);
                while (raw.sqlite3_step(statement) == raw.SQLITE_ROW)
                {
                    sum += Touch(statement, columns);
                    rows++;
                    courses += i == 1 ? 1 : 0;
                }
            }
        }

        return new Streamed(clock.Elapsed.TotalMilliseconds, rows, courses, sum);
    }

    private static long Touch(sqlite3_stmt statement, int columns)
    {
        long sum = 0;
        for (var column = 0; column < columns; column++)
        {
            switch (raw.sqlite3_column_type(statement, column))
            {
                case raw.SQLITE_INTEGER:
                    sum += raw.sqlite3_column_int64(statement, column);
                    break;
                case raw.SQLITE_TEXT:
                    var text = raw.sqlite3_column_blob(statement, column);
                    sum += text.Length > 0 ? text[0] + text.Length : 0;
                    break;
                default:
                    break; // null
            }
        }

        return sum;
    }
}
