using System;

namespace RefillPlanner.Service.Mail;

/// <summary>The routes by which mail leaves, several side by side.</summary>
/// <param name="Most">How many may be open at once.</param>
/// <param name="Open">Opens one more. It speaks to nobody before its first letter; whoever opens it disposes it.</param>
public sealed record MailRoutes(int Most, Func<IMailRoute> Open)
{
    /// <summary>As many connections as a mail server is given.</summary>
    public const int MostConnections = 4;

    /// <summary>The routes of the settings: connections to the mail server, else one to the folder.</summary>
    /// <param name="settings">Where mail goes.</param>
    /// <param name="dropFolder">The folder, where no server is set.</param>
    /// <param name="time">The one clock.</param>
    /// <exception cref="ArgumentException">On opening: plain text to another machine.</exception>
    public static MailRoutes Of(MailSettings settings, string dropFolder, TimeProvider time) => settings.Host is null
        ? new MailRoutes(1, () => new DropFolder(dropFolder))
        : new MailRoutes(MostConnections, () => new SmtpRoute(settings, time));
}
