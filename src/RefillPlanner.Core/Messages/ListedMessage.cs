namespace RefillPlanner.Core.Messages;

/// <summary>A message to or about a patient that did not reach its reader, as the refill-due list shows it.</summary>
/// <param name="Key">Identity from meaning.</param>
/// <param name="State">Bounced, expired, unknown or suppressed.</param>
/// <param name="Detail">The server's answer, or why it was not sent; null: nothing to say.</param>
/// <param name="Patient">The patient it goes to or is about; null: none, or not on record.</param>
public sealed record ListedMessage(MessageKey Key, MessageState State, string? Detail, ListedPatient? Patient);
