using System.Globalization;
using NodaTime;

namespace RefillPlanner.Core.Messages;

/// <summary>What keeps mail from being sent.</summary>
public enum PauseKind
{
    /// <summary>The database file is an older one that was put back: what it holds as unsent may have been sent. A person confirms.</summary>
    Restored,

    /// <summary>The clock jumped: no date can be trusted until a person has looked. A person confirms.</summary>
    Clock,

    /// <summary>The mail server is away; it is tried again.</summary>
    MailServer,

    /// <summary>The mail server does not take us - certificate, encryption, password - or takes no more for today.</summary>
    MailAccount,

    /// <summary>The mail server refused several messages in a row for good: the fault is likely ours.</summary>
    MailRefusals,
}

/// <summary>Mail is not sent.</summary>
/// <param name="Kind">What keeps it.</param>
/// <param name="Since">Since when.</param>
/// <param name="Until">Until when; null: until a person says that it may go on.</param>
/// <param name="Tries">How often in a row it came to this; from 1.</param>
/// <param name="Reason">Why, for a person; no patient is named.</param>
public sealed record Pause(PauseKind Kind, Instant Since, Instant? Until, int Tries, string Reason)
{
    /// <summary>Whether it keeps mail from being sent at an instant.</summary>
    public bool IsInForce(Instant now) => Until is not Instant end || end > now;

    /// <summary>What a person is to do.</summary>
    public string WhatToDo => Kind switch
    {
        PauseKind.Restored => "Find out what was sent since that file was written, call where in doubt, then start the service once with --go-on.",
        PauseKind.Clock => "Set the clock of this machine right, then start the service once with --go-on.",
        PauseKind.MailServer => "See whether the mail server runs and can be reached from here; it is tried again by itself.",
        PauseKind.MailAccount when Until is null => "Mend certificate, encryption or account in the configuration, check it with self-check, then start the service once with --go-on.",
        PauseKind.MailAccount => "The mail server takes no more for now; it is tried again by itself.",
        _ => "See why the mail server refuses: sender address, account, block lists. It is tried again by itself.",
    };

    /// <summary>One line for the staff list, in the zone of a site.</summary>
    public string Say(DateTimeZone zone) => string.Create(CultureInfo.InvariantCulture, $"No mail is sent since {Moment(Since, zone)}{(Until is Instant end ? $", until {Moment(end, zone)}" : string.Empty)}: {Reason} {WhatToDo}");

    private static string Moment(Instant at, DateTimeZone zone)
    {
        var local = at.InZone(zone);
        return $"{Ledger.DateText.Full(local.Date)}, {local.TimeOfDay.ToString("HH:mm", CultureInfo.InvariantCulture)}";
    }
}
