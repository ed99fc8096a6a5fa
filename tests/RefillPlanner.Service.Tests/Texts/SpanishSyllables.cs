using System;
using System.Linq;

namespace RefillPlanner.Service.Tests.Texts;

/// <summary>
/// Counts the syllables of Spanish words, which is regular: each vowel is one, but a weak one (i, u without accent, final y) joins its neighbour; two strong
/// ones, or an accented weak one, stand apart; the u of que, qui, gue, gui is not sounded; h does not part vowels of a diphthong here.
/// </summary>
internal static class SpanishSyllables
{
    public static int Count(string word)
    {
        var letters = new string([.. word.ToLowerInvariant().Where(char.IsLetter)])
            .Replace("que", "ke", StringComparison.Ordinal).Replace("qui", "ki", StringComparison.Ordinal).Replace("qué", "ké", StringComparison.Ordinal).Replace("quí", "kí", StringComparison.Ordinal)
            .Replace("gue", "ge", StringComparison.Ordinal).Replace("gui", "gi", StringComparison.Ordinal).Replace("gué", "gé", StringComparison.Ordinal).Replace("guí", "gí", StringComparison.Ordinal);
        if (letters.Length == 0)
            return 0;
        if (letters.EndsWith('y') && letters.Length > 1)
            letters = letters[..^1] + "i";
        var count = 0;
        for (var at = 0; at < letters.Length; at++)
        {
            if (IsVowel(letters[at]) && (at == 0 || !IsVowel(letters[at - 1]) || StandApart(letters[at - 1], letters[at])))
                count++;
        }

        return Math.Max(1, count);
    }

    private static bool IsVowel(char letter) => "aeiouáéíóúü".Contains(letter, StringComparison.Ordinal);

    private static bool StandApart(char left, char right) => IsStrong(left) && IsStrong(right) || left is 'í' or 'ú' || right is 'í' or 'ú';

    private static bool IsStrong(char letter) => "aeoáéó".Contains(letter, StringComparison.Ordinal);
}
