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
}

/// <summary>What would be sent.</summary>
/// <param name="Message">The message.</param>
/// <param name="Site">The site it would be sent for; null: the service as a whole.</param>
public sealed record Preview(OutgoingMessage Message, Site? Site);
