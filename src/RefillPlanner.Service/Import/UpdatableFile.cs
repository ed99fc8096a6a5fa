using System;
using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Service.Import;

/// <summary>Judges a file in which a known id with other content updates.</summary>
internal static class UpdatableFile
{
    public static IReadOnlyList<T> Judge<T>(
        FileJudgement file, Func<RowReading, T> parse, Func<T, string> id, Func<string, T?> findKnown, Func<T, T, bool> isSame, Action<T> put)
        where T : class =>
        Judge(file, file.Sheet.Rows.Select(row => new RowReading(row)), parse, id, findKnown, isSame, put);

    public static IReadOnlyList<T> Judge<T>(
        FileJudgement file, IEnumerable<RowReading> rows, Func<RowReading, T> parse, Func<T, string> id, Func<string, T?> findKnown, Func<T, T, bool> isSame, Action<T> put)
        where T : class
    {
        var good = new List<T>();
        var seen = new Dictionary<string, (T Record, int Line)>(StringComparer.Ordinal);
        foreach (var reading in rows)
        {
            var record = parse(reading);
            if (reading.Fault is Refusal fault)
            {
                file.Refuse(reading.Row, fault);
            }
            else if (seen.TryGetValue(id(record), out var earlier))
            {
                if (isSame(earlier.Record, record))
                    file.Same++;
                else
                    file.Refuse(reading.Row, reading.Row.Schema.Columns[0], $"the id stands in line {earlier.Line} with other content");
            }
            else
            {
                seen.Add(id(record), (record, reading.Row.Line));
                Take(record, findKnown(id(record)));
            }
        }

        return good;

        void Take(T record, T? known)
        {
            put(record);
            if (known is not null && isSame(known, record))
            {
                file.Same++;
                return;
            }

            good.Add(record);
            if (known is null)
                file.New++;
            else
                file.Updated++;
        }
    }
}
