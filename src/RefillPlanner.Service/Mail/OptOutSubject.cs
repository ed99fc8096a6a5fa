using System;
using System.Linq;
using System.Text.RegularExpressions;

namespace RefillPlanner.Service.Mail;

/// <summary>What the subject of an arrived mail says about getting no more of them.</summary>
/// <param name="AsksForNoMore">Whether it asks for that.</param>
/// <param name="Hash">What the Message-ID that it names begins with; null: it names none.</param>
/// <remarks>
/// The words are STOP, UNSUBSCRIBE, and in Spanish ALTO and BAJA. Beside a hash any of them asks, in small letters too. Without one
/// the subject asks when it is one of the words and nothing else, or when STOP stands in it in capitals as a word of its own: "Stop date of my
/// pen?", "presión baja" and "non-STOP" ask for nothing, and are left for the person who reads the mailbox.
/// </remarks>
public sealed record OptOutSubject(bool AsksForNoMore, string? Hash)
{
    private const string Capitals = "STOP";
    private const int Longest = 1000;
    private static readonly string[] Words = [Capitals, "UNSUBSCRIBE", "ALTO", "BAJA"];

    /// <summary>Reads a subject; words such as "Re:" before it do not count.</summary>
    public static OptOutSubject Read(string subject)
    {
        var answer = Regex.Replace(subject.Length > Longest ? subject[..Longest] : subject, @"^\s*((re|fw|fwd|aw|wg|rv|resp|antw)\s*:\s*)+", string.Empty, RegexOptions.IgnoreCase | RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(1));
        var words = answer.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries)
            .Select(word => new string([.. word.SkipWhile(IsMark).Reverse().SkipWhile(IsMark).Reverse()]))
            .Where(word => word.Length > 0)
            .ToArray();
        var hash = words.Select(MessageIdHash.Find).FirstOrDefault(found => found is not null);
        var asks = hash is not null ? words.Any(IsOne) : words.Contains(Capitals) || (words.Length == 1 && IsOne(words[0]));
        return new OptOutSubject(asks, hash);
    }

    private static bool IsOne(string word) => Words.Contains(word, StringComparer.OrdinalIgnoreCase);

    private static bool IsMark(char character) => !char.IsLetterOrDigit(character);
}
