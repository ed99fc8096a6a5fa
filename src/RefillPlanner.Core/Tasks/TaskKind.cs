namespace RefillPlanner.Core.Tasks;

/// <summary>What somebody must see to (planning model, section 6).</summary>
public enum TaskKind
{
    /// <summary>Ask the patient whether and how the next supply is wanted.</summary>
    RefillContact,

    /// <summary>Make up the next supply.</summary>
    Prepare,

    /// <summary>Hand it over at the counter.</summary>
    HandOver,

    /// <summary>Give it to the carrier.</summary>
    Ship,

    /// <summary>Ask the prescriber for a renewal.</summary>
    RenewalRequest,

    /// <summary>A pharmacist checks before a dose increase.</summary>
    StepUpCheck,

    /// <summary>A pharmacist asks about doses not given, before the next one.</summary>
    MissedDoseCheck,

    /// <summary>A finding stops the computation: a person must look.</summary>
    SupplyReview,

    /// <summary>Tell of a container's last day of use.</summary>
    DiscardNotice,

    /// <summary>Ask for the sharps container and send the next one.</summary>
    SharpsReturn,

    /// <summary>The sharps container has not come back in time.</summary>
    SharpsOverdue,

    /// <summary>A message did not reach its reader: call.</summary>
    CannotReach,

    /// <summary>A shipped fill whose arrival nobody confirmed: call.</summary>
    ArrivalCheck,

    /// <summary>A lot was recalled: call.</summary>
    RecallCall,
}

/// <summary>The states of a task's life.</summary>
public enum TaskState
{
    /// <summary>Its day has not come.</summary>
    Planned,

    /// <summary>To be done now.</summary>
    Due,

    /// <summary>Asked, no answer yet.</summary>
    Waiting,

    /// <summary>Not done in its time.</summary>
    Overdue,

    /// <summary>Done.</summary>
    Done,

    /// <summary>No longer needed.</summary>
    Withdrawn,
}
