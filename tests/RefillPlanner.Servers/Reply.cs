using System;

namespace RefillPlanner.Servers;

/// <summary>How a scripted server replies.</summary>
public enum ReplyKind
{
    /// <summary>It says its text at once.</summary>
    Say,

    /// <summary>It closes the connection without a word.</summary>
    Close,

    /// <summary>It keeps the connection and never says anything.</summary>
    Hang,

    /// <summary>It says its text byte by byte, slowly.</summary>
    Drip,

    /// <summary>After the final dot: it keeps the letter and closes without a word.</summary>
    TakeAndClose,
}

/// <summary>What a scripted server does at one moment.</summary>
public sealed record Reply
{
    /// <summary>Closes without a word.</summary>
    public static readonly Reply Close = new() { Kind = ReplyKind.Close };

    /// <summary>Never answers; ends when the server is disposed or the client goes.</summary>
    public static readonly Reply Hang = new() { Kind = ReplyKind.Hang };

    /// <summary>After the final dot: the letter is taken, and the connection closed without a word.</summary>
    public static readonly Reply TakeAndClose = new() { Kind = ReplyKind.TakeAndClose };

    /// <summary>How.</summary>
    public ReplyKind Kind { get; init; }

    /// <summary>The lines said, without the last line end; empty where nothing is said.</summary>
    public string Text { get; init; } = string.Empty;

    /// <summary>The wait before each byte of a drip, by the server's clock.</summary>
    public TimeSpan Every { get; init; }

    /// <summary>Called when all of the text was handed to the network; null: nothing.</summary>
    public Action? Then { get; init; }

    /// <summary>Says a text; lines of it are separated by CR LF.</summary>
    public static Reply Say(string text) => new() { Text = text };

    /// <summary>Says a text byte by byte.</summary>
    public static Reply Drip(string text, TimeSpan every) => new() { Kind = ReplyKind.Drip, Text = text, Every = every };

    /// <summary>A text stands for saying it; null for the usual answer.</summary>
    public static implicit operator Reply?(string? text) => text is null ? null : Say(text);
}
