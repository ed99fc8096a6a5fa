using System;
using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Service.Settings;

/// <summary>The key that a mistyped one was probably meant to be.</summary>
internal static class NearestKey
{
    /// <summary>The key with the fewest letters to change, add or leave out.</summary>
    public static string Of(string word, IEnumerable<string> keys) => keys.MinBy(key => Distance(word, key))!;

    // Levenshtein's distance.
    private static int Distance(string left, string right)
    {
        var row = Enumerable.Range(0, right.Length + 1).ToArray();
        for (var i = 1; i <= left.Length; i++)
        {
            var diagonal = row[0];
            row[0] = i;
            for (var j = 1; j <= right.Length; j++)
                (diagonal, row[j]) = (row[j], Math.Min(Math.Min(row[j], row[j - 1]) + 1, diagonal + (left[i - 1] == right[j - 1] ? 0 : 1)));
        }

        return row[right.Length];
    }
}
