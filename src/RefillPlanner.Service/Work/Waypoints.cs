using System.Diagnostics;

namespace RefillPlanner.Service.Work;

/// <summary>
/// Named points that the work passes, for whoever listens to the diagnostic listener <see cref="ListenerName"/> in this process. They carry
/// nothing but their name, and cost next to nothing when nobody listens.
/// </summary>
public static class Waypoints
{
    /// <summary>The listener's name.</summary>
    public const string ListenerName = "RefillPlanner";

    /// <summary>Some patients are about to be planned in one transaction.</summary>
    public const string PlanningBegun = "planning-begun";

    /// <summary>They are planned; nothing of it is durable.</summary>
    public const string Planned = "planned";

    /// <summary>Their plans are durable.</summary>
    public const string PlanCommitted = "plan-committed";

    /// <summary>A patient's tasks became due, with what is to be said about them; nothing of it is durable.</summary>
    public const string DueDecided = "due-decided";

    /// <summary>All of that is durable.</summary>
    public const string DueCommitted = "due-committed";

    /// <summary>A morning list is written; it is not durable.</summary>
    public const string ListDecided = "list-decided";

    /// <summary>It is durable.</summary>
    public const string ListCommitted = "list-committed";

    /// <summary>A message is about to be marked as being sent.</summary>
    public const string Claiming = "claiming";

    /// <summary>The mark is durable.</summary>
    public const string Claimed = "claimed";

    /// <summary>The message is about to be given to the mail server.</summary>
    public const string HandingOver = "handing-over";

    /// <summary>What the server answered is known, and not yet marked.</summary>
    public const string Answered = "answered";

    /// <summary>The answer is about to be marked.</summary>
    public const string Marking = "marking";

    /// <summary>That mark is durable.</summary>
    public const string Marked = "marked";

    /// <summary>What an earlier run left in the middle of sending is about to be taken up.</summary>
    public const string Recovering = "recovering";

    /// <summary>It is taken up, durably.</summary>
    public const string Recovered = "recovered";

    /// <summary>Quartz has the alarms of the next hours.</summary>
    public const string AlarmsSet = "alarms-set";

    /// <summary>A roster is judged and written; it is not durable.</summary>
    public const string Importing = "importing";

    /// <summary>It is durable.</summary>
    public const string ImportCommitted = "import-committed";

    /// <summary>A backup is copied, and does not yet bear its name.</summary>
    public const string BackupCopied = "backup-copied";

    /// <summary>It bears its name.</summary>
    public const string BackupRenamed = "backup-renamed";

    /// <summary>A database is about to be brought to this program's schema.</summary>
    public const string Migrating = "migrating";

    /// <summary>It has it.</summary>
    public const string Migrated = "migrated";

    /// <summary>The service was told to stop.</summary>
    public const string Stopping = "stopping";

    private static readonly DiagnosticListener Listener = new(ListenerName);

    /// <summary>Passes a point. What a listener throws comes out here.</summary>
    public static void Pass(string name)
    {
        if (Listener.IsEnabled())
            Listener.Write(name, value: null);
    }
}
