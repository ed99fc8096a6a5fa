namespace RefillPlanner.Servers;

/// <summary>The moments at which a scripted server is asked what to do.</summary>
public static class SmtpMoments
{
    /// <summary>On connecting.</summary>
    public const string Greeting = "GREETING";

    /// <summary>After EHLO or HELO, before and again after STARTTLS.</summary>
    public const string Ehlo = "EHLO";

    /// <summary>After STARTTLS.</summary>
    public const string StartTls = "STARTTLS";

    /// <summary>After AUTH and all that belongs to it.</summary>
    public const string Auth = "AUTH";

    /// <summary>After MAIL FROM.</summary>
    public const string Mail = "MAIL";

    /// <summary>After RCPT TO.</summary>
    public const string Rcpt = "RCPT";

    /// <summary>After DATA.</summary>
    public const string Data = "DATA";

    /// <summary>After the answer to DATA, before anything of the letter is read: <c>Close</c> and <c>Hang</c> only; a text is not said.</summary>
    public const string Letter = "LETTER";

    /// <summary>After the final dot.</summary>
    public const string Message = "MESSAGE";

    /// <summary>After QUIT.</summary>
    public const string Quit = "QUIT";
}

/// <summary>A moment at which a scripted server is asked what to do.</summary>
/// <param name="Phase">One of <see cref="SmtpMoments"/>, or another command's word.</param>
/// <param name="Connection">Which connection of this server, from 1.</param>
/// <param name="Message">Which MAIL FROM of this server it belongs to, from 1; 0 before the connection's first.</param>
/// <param name="Line">The line received; empty at the greeting and after the final dot.</param>
/// <param name="IsProtected">Whether the connection is under TLS.</param>
public sealed record SmtpMoment(string Phase, int Connection, int Message, string Line, bool IsProtected);
