using System;
using System.Globalization;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using MimeKit;

namespace RefillPlanner.Service.Mail;

/// <summary>What to do next about a message that was tried.</summary>
public enum DeliveryOutcome
{
    /// <summary>Nothing: it was taken.</summary>
    Accepted,

    /// <summary>Call the patient: this message was refused for good.</summary>
    Refused,

    /// <summary>Try this message later; others may go on.</summary>
    Deferred,

    /// <summary>Try this message once more later: the connection broke after the final dot, and nobody knows.</summary>
    Unknown,

    /// <summary>Pause all mail for a while: the server is away, or a stop was asked for. The message was not taken, and nothing is wrong with it.</summary>
    ServerAway,

    /// <summary>Stop all mail and tell a person, who must mend it: certificate, protection, user, password, sender. The message was not taken.</summary>
    AccountRefused,

    /// <summary>Pause all mail until the next sending window: the server takes no more of us today. The message was not taken.</summary>
    QuotaReached,
}

/// <summary>What came of one try.</summary>
/// <param name="Outcome">What to do next.</param>
/// <param name="Detail">Where it ended and what the server answered, for staff: one line, at most <see cref="MostDetail"/> characters.</param>
public sealed record Delivery(DeliveryOutcome Outcome, string Detail)
{
    /// <summary>The longest detail, in characters.</summary>
    public const int MostDetail = 300;

    /// <summary>The detail of what a stop kept from being sent.</summary>
    public const string Stopped = "stopped";

    /// <summary>A delivery whose detail comes from elsewhere: made one line, without control and invisible characters, and cut.</summary>
    public static Delivery Of(DeliveryOutcome outcome, string detail)
    {
        var line = string.Concat(detail.Select(letter => char.IsWhiteSpace(letter) ? ' ' : letter)
            .Where(letter => !char.IsControl(letter) && char.GetUnicodeCategory(letter) is not (UnicodeCategory.Format or UnicodeCategory.Surrogate))).Trim();
        return new Delivery(outcome, line.Length <= MostDetail ? line : line[..MostDetail]);
    }
}

/// <summary>A way for letters to leave: a mail server or a folder. Takes one letter at a time.</summary>
public interface IMailRoute : IAsyncDisposable
{
    /// <summary>Tries a letter once.</summary>
    /// <param name="letter">The letter, with exactly one recipient.</param>
    /// <param name="cancellation">Gives up: what is not yet sent ends as <see cref="DeliveryOutcome.ServerAway"/>, what may have been sent as <see cref="DeliveryOutcome.Unknown"/>. Whoever stops waits a while before.</param>
    /// <exception cref="ArgumentException">None or several recipients.</exception>
    Task<Delivery> SendAsync(MimeMessage letter, CancellationToken cancellation);
}
