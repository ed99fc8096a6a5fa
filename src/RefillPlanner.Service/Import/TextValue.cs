using System;
using System.Collections.Frozen;
using System.Linq;
using System.Text.RegularExpressions;
using MimeKit;
using NodaTime;

namespace RefillPlanner.Service.Import;

/// <summary>Ids, names, longer texts, addresses and zones.</summary>
internal static partial class TextValue
{
    private static readonly FrozenSet<string> Zones = DateTimeZoneProviders.Tzdb.Ids.ToFrozenSet(StringComparer.Ordinal);

    /// <summary>Whether a character could hide or reorder what a person reads: control characters, line separators, bidirectional overrides.</summary>
    public static bool IsHidden(char letter) =>
        char.IsControl(letter) || letter is (>= '\u2028' and <= '\u202E') or (>= '\u2066' and <= '\u2069');

    /// <summary>An id: opaque, compared letter by letter.</summary>
    public static bool Id(string text, out string value, out string reason)
    {
        value = text;
        reason = text.Length > 64 ? "is longer than 64 characters"
            : text.Any(IsHidden) ? "has a control character in it"
            : text.Contains('/') ? "has a / in it"
            : char.IsWhiteSpace(text[0]) || char.IsWhiteSpace(text[^1]) ? "begins or ends with a blank"
            : "";
        return reason.Length == 0;
    }

    /// <summary>A text of one line, at most 500 characters, not only blanks.</summary>
    public static bool Line(string text, out string value, out string reason)
    {
        value = text;
        reason = text.Length > 500 ? "is longer than 500 characters"
            : text.Any(IsHidden) ? "has a control character, a line break or a bidirectional override in it"
            : string.IsNullOrWhiteSpace(text) ? "is only blanks"
            : "";
        return reason.Length == 0;
    }

    /// <summary>A text that may have line breaks, at most 4,000 characters; they are kept as LF.</summary>
    public static bool Paragraphs(string text, out string value, out string reason)
    {
        value = text.Replace("\r\n", "\n", StringComparison.Ordinal);
        reason = value.Length > 4000 ? "is longer than 4000 characters"
            : value.Any(letter => letter != '\n' && IsHidden(letter)) ? "has a control character or a bidirectional override in it"
            : string.IsNullOrWhiteSpace(value) ? "is only blanks"
            : "";
        return reason.Length == 0;
    }

    /// <summary>A plain e-mail address in ASCII.</summary>
    public static bool Email(string text, out string value, out string reason)
    {
        value = text;
        var good = text.Length <= 254 && PlainAddress().IsMatch(text)
            && MailboxAddress.TryParse(text, out var mailbox) && mailbox.Address == text;
        reason = good ? "" : "is no plain e-mail address such as name@example.org";
        return good;
    }

    /// <summary>A time zone of the IANA database.</summary>
    public static bool Zone(string text, out string value, out string reason)
    {
        value = text;
        reason = Zones.Contains(text) ? "" : "is no time zone of the IANA database, such as America/Chicago";
        return reason.Length == 0;
    }

    [GeneratedRegex("^[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+([.][A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+)*@[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?([.][A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?)*\\z", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture | RegexOptions.NonBacktracking)]
    private static partial Regex PlainAddress();
}
