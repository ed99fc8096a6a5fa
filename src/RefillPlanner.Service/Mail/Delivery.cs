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

    /// <summary>Leave the server alone for a while: it is away, and nothing was wrong with the message.</summary>
    ServerAway,

    /// <summary>A person must mend it: the server's certificate, the encryption, or our account is not as it must be.</summary>
    AccountRefused,

    /// <summary>Go on in the next sending window: the server takes no more for today.</summary>
    QuotaReached,
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
