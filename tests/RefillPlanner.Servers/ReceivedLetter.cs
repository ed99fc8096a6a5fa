using System;

namespace RefillPlanner.Servers;

/// <summary>A letter of which the final dot was received.</summary>
/// <param name="MessageId">Its Message-ID without brackets; empty: none.</param>
/// <param name="To">The recipient of the envelope.</param>
/// <param name="Subject">Its subject, decoded.</param>
/// <param name="Bytes">Its size, with headers and line ends of two bytes, without the dots added for the way.</param>
/// <param name="Connection">Which connection of the server, from 1.</param>
/// <param name="Message">Which MAIL FROM of the server, from 1.</param>
/// <param name="ReceivedAt">When, by the server's clock.</param>
public sealed record ReceivedLetter(string MessageId, string To, string Subject, int Bytes, int Connection, int Message, DateTimeOffset ReceivedAt)
{
    /// <summary>Whether 250 was said, or was just about to be.</summary>
    public bool IsAccepted { get; init; }

    /// <summary>Whether the server keeps the letter: it said 250, or took it and closed.</summary>
    public bool IsTaken { get; init; }
}
