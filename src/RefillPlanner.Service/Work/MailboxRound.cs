namespace RefillPlanner.Service.Work;

/// <summary>What came of one visit to the mailbox.</summary>
/// <param name="Read">Mails that were looked at.</param>
/// <param name="Bounced">Messages that came back.</param>
/// <param name="OptedOut">Patients who opted out.</param>
/// <param name="Failure">Type of what went wrong, without its words, which may name people; null: nothing.</param>
public sealed record MailboxRound(int Read, int Bounced, int OptedOut, string? Failure);

/// <summary>What was done about one mail.</summary>
/// <param name="IsHandled">Whether nobody needs to read it any more.</param>
/// <param name="Bounced">Messages that came back.</param>
/// <param name="OptedOut">Patients who opted out by it.</param>
public sealed record Dealing(bool IsHandled, int Bounced, int OptedOut)
{
    /// <summary>Nothing: it is for the person who reads the mailbox.</summary>
    public static readonly Dealing Left = new(IsHandled: false, Bounced: 0, OptedOut: 0);
}
