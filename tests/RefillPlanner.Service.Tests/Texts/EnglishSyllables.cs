using System;
using System.Collections.Generic;
using System.Linq;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>
/// Counts the syllables of English words by their groups of vowels: y counts as a vowel but at the beginning; a final silent e, and the e of a final -es or
/// -ed that is not sounded, count nothing; a final consonant + le is one; vowels that are two syllables together (ia, io, ua, eo, as in "trial") count two,
/// but not in -tion, -cial and the like. Exceptions stand by name. Never less than one.
/// </summary>
internal static class EnglishSyllables
{
    private static readonly Dictionary<string, int> Exceptions = new(StringComparer.Ordinal)
    {
        ["wednesday"] = 2,
        ["every"] = 2,
        ["sharps"] = 1,
        ["people"] = 2,
        ["someone"] = 2,
        ["being"] = 2,
        ["area"] = 3,
        ["used"] = 1,
        ["refrigerator"] = 5,
        ["something"] = 2,
        ["somewhere"] = 2,
    };

    public static int Count(string word)
    {
        var letters = new string([.. word.ToLowerInvariant().Where(letter => letter is >= 'a' and <= 'z')]);
        if (letters.Length == 0)
            return 0;
        if (Exceptions.TryGetValue(letters, out var known))
            return known;
        var count = 0;
        for (var at = 0; at < letters.Length; at++)
        {
            if (IsVowel(letters, at) && (at == 0 || !IsVowel(letters, at - 1) || IsHiatus(letters, at)))
                count++;
        }

        return Math.Max(1, count - (IsSilentEnd(letters) ? 1 : 0));
    }

    private static bool IsVowel(string word, int at) => word[at] is 'a' or 'e' or 'i' or 'o' or 'u' || (word[at] == 'y' && at > 0);

    private static bool IsHiatus(string word, int at) =>
        word[(at - 1)..(at + 1)] is "ia" or "io" or "iu" or "ua" or "eo" && !(at >= 2 && word[at - 2] is 't' or 's' or 'c' or 'x' or 'g' or 'q');

    private static bool IsSilentEnd(string word)
    {
        if (word.EndsWith("le", StringComparison.Ordinal) && word.Length > 2)
            return IsVowel(word, word.Length - 3);
        if (word.EndsWith("ed", StringComparison.Ordinal) && word.Length > 3)
            return !IsVowel(word, word.Length - 3) && word[^3] is not ('t' or 'd');
        if (word.EndsWith("es", StringComparison.Ordinal) && word.Length > 3)
            return !IsVowel(word, word.Length - 3) && word[^3] is not ('s' or 'x' or 'z' or 'c' or 'g') && !word.EndsWith("ches", StringComparison.Ordinal) && !word.EndsWith("shes", StringComparison.Ordinal);
        return word.EndsWith('e') && word.Length > 2 && !IsVowel(word, word.Length - 2);
    }
}
