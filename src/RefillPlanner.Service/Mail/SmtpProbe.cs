using System;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;

namespace RefillPlanner.Service.Mail;

/// <summary>What a mail server answered to one who sends nothing.</summary>
/// <param name="Outcome"><see cref="DeliveryOutcome.Accepted"/>: letters could go now; else what to do, as for a letter.</param>
/// <param name="Detail">Where it ended and why, for staff.</param>
/// <param name="CertificateNotAfter">Until when the server's certificate is valid; null: none was shown.</param>
public sealed record SmtpProbeResult(DeliveryOutcome Outcome, string Detail, Instant? CertificateNotAfter);

/// <summary>Tries the configured mail server up to the first letter: connects, greets, protects, logs in, asks for nothing, leaves.</summary>
public static class SmtpProbe
{
    /// <summary>Tries it once.</summary>
    /// <param name="settings">The mail settings; with a host.</param>
    /// <param name="time">The clock by which the server is waited for.</param>
    /// <param name="cancellation">Ends it as <see cref="DeliveryOutcome.ServerAway"/>.</param>
    /// <param name="patience">How long the server is waited for; null: as its defaults say.</param>
    /// <exception cref="ArgumentException">Plain text to another machine.</exception>
    public static async Task<SmtpProbeResult> RunAsync(MailSettings settings, TimeProvider time, CancellationToken cancellation, SmtpPatience? patience = null)
    {
        MailSettings.RefuseClearText(settings);
        using var connection = new SmtpConnection(settings, time, patience ?? new SmtpPatience());
        var answer = await connection.OpenAsync(cancellation);
        if (answer.Outcome == DeliveryOutcome.Accepted)
            answer = await connection.AskAsync(cancellation);
        if (answer.Outcome == DeliveryOutcome.Accepted)
            await connection.CloseAsync();
        return new SmtpProbeResult(answer.Outcome, answer.Detail, connection.CertificateNotAfter);
    }
}
