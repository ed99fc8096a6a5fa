using System;
using System.Threading;
using System.Threading.Tasks;
using MimeKit;

namespace RefillPlanner.Service.Mail;

/// <summary>What to do next about a message that was tried.</summary>
public enum DeliveryOutcome
{
    /// <summary>Nothing: it was taken.</summary>
    Accepted,

    /// <summary>Call the patient: it was refused for good.</summary>
    Refused,

    /// <summary>Try later: it was not taken.</summary>
    Deferred,

    /// <summary>Try once more later: the connection broke after the final dot, and nobody knows.</summary>
    Unknown,
}

/// <summary>What came of one try.</summary>
/// <param name="Outcome">What to do next.</param>
/// <param name="Detail">The server's answer.</param>
public sealed record Delivery(DeliveryOutcome Outcome, string Detail);

/// <summary>A way for letters to leave: a mail server or a folder.</summary>
public interface IMailRoute : IAsyncDisposable
{
    /// <summary>Tries a letter once.</summary>
    Task<Delivery> SendAsync(MimeMessage letter, CancellationToken cancellation);
}
