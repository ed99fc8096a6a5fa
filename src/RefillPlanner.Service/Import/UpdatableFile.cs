using System;
using System.Collections.Generic;
using System.Linq;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Import;

/// <summary>Takes a file in which a known id with other content updates.</summary>
internal static class UpdatableFile
{
    public static void Take<T>(FileJudgement file, Func<RowReading, T> parse, Func<T, string> id, Func<string, T?> find, Func<T, T, bool> isSame, Action<T> put)
        where T : class =>
        Take(file, file.Sheet.Read().Select(row => new RowReading(row)), parse, id, find, isSame, put);

    public static void Take<T>(
        FileJudgement file, IEnumerable<RowReading> rows, Func<RowReading, T> parse, Func<T, string> id, Func<string, T?> find, Func<T, T, bool> isSame, Action<T> put)
        where T : class
    {
        foreach (var reading in rows)
        {
            var record = parse(reading);
            if (reading.Fault is Refusal fault)
            {
                file.Refuse(reading.Row, fault);
                continue;
            }

            var earlier = file.FindLine(id(record));
            var (known, isDamaged) = Find(find, id(record));
            if (earlier is null)
                file.KeepLine(reading.Row);
            if (known is not null && isSame(known, record))
            {
                file.Same++;
            }
            else if (earlier is not null)
            {
                file.Refuse(reading.Row, reading.Row.Schema.Columns[0], $"the id stands in line {earlier} with other content");
            }
            else
            {
                put(record);
                if (known is null && !isDamaged)
                    file.New++;
                else
                    file.Updated++;
            }
        }
    }

    // One that is damaged on disk is made anew by the roster.
    private static (T? Known, bool IsDamaged) Find<T>(Func<string, T?> find, string id)
        where T : class
    {
        try
        {
            return (find(id), false);
        }
        catch (DamagedRowException)
        {
            return (null, true);
        }
    }
}
