using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;

namespace RefillPlanner.Service.Work;

/// <summary>What can be shown before it is sent.</summary>
public enum PreviewKind
{
    /// <summary>The refill-due list of a site.</summary>
    MorningList,

    /// <summary>The next mail to a patient.</summary>
    PatientNotice,

    /// <summary>The alert before a dose increase.</summary>
    StepUpAlert,

    /// <summary>Mail to the person who runs the service.</summary>
    ServiceAlert,

    /// <summary>The mail to a patient about the sharps container alone.</summary>
    SharpsNotice,

    /// <summary>The mail to a patient about the end of an open container alone.</summary>
    DiscardLine,

    /// <summary>The printed page of a course, for the patient.</summary>
    Sheet,
}

/// <summary>What would be sent or printed.</summary>
/// <param name="Html">The HTML of the message, or the page.</param>
/// <param name="Message">The message; null: it is a page, which nobody is sent.</param>
/// <param name="Site">The site it would be sent for; null: the service as a whole.</param>
public sealed record Preview(string Html, OutgoingMessage? Message, Site? Site)
{
    /// <summary>The dosing days of a sheet as iCalendar; null: it is a message.</summary>
    public string? Calendar { get; private init; }

    /// <summary>The preview of a message.</summary>
    public static Preview Of(OutgoingMessage message, Site? site) => new(message.Html, message, site);

    /// <summary>The preview of a page and its calendar.</summary>
    public static Preview OfPage(string html, string calendar) => new(html, Message: null, Site: null) { Calendar = calendar };
}
