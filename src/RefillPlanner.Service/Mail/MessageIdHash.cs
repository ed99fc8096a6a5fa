using System;
using System.Linq;

namespace RefillPlanner.Service.Mail;

/// <summary>What the Message-ID of a mail of this program begins with: 32 hexadecimal digits.</summary>
public static class MessageIdHash
{
    private const int Digits = 32;

    /// <summary>A word as such a beginning, in small letters; null: it is none.</summary>
    public static string? Find(string word) => word.Length == Digits && word.All(char.IsAsciiHexDigit) ? word.ToLowerInvariant() : null;
}
