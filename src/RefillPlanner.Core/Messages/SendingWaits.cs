using NodaTime;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Core.Messages;

/// <summary>
/// How long sending waits after each kind of failure. A wait is longer by up to a tenth, by the message's key and its attempt, so that what was
/// put off together does not come back together; the same message waits the same time on every machine.
/// </summary>
public static class SendingWaits
{
    /// <summary>How often a message whose fate is unknown is tried in all: once more, and then never.</summary>
    public const int AttemptsOfUnknown = 2;

    /// <summary>How long the lease of a message that is being sent lasts.</summary>
    public static readonly Duration Lease = Duration.FromMinutes(30);

    /// <summary>What must be left of its lease when a message is handed over: more than the longest that one message can take.</summary>
    public static readonly Duration LeaseNeeded = Duration.FromMinutes(14);

    private const int JitterThousandths = 100;

    // RFC 5321, 4.5.4.1: "the retry interval SHOULD be at least 30 minutes".
    private static readonly Duration[] Deferred = [Duration.FromMinutes(30), Duration.FromMinutes(30), Duration.FromMinutes(60), Duration.FromMinutes(120)];
    private static readonly Duration[] Server = [Duration.FromMinutes(1), Duration.FromMinutes(2), Duration.FromMinutes(5), Duration.FromMinutes(10), Duration.FromMinutes(15), Duration.FromMinutes(30)];
    private static readonly Duration[] Refusals = [Duration.FromHours(1), Duration.FromHours(2), Duration.FromHours(4)];

    /// <summary>When a message that was not taken may be tried next: after 30, 30, 60, 120 minutes, then every two hours.</summary>
    /// <param name="key">The message.</param>
    /// <param name="attempts">How often it was tried, the last one included; from 1.</param>
    /// <param name="now">The present instant.</param>
    public static Instant AfterDeferred(MessageKey key, int attempts, Instant now) => now + WithJitter(At(Deferred, attempts), key.Text, attempts);

    /// <summary>When a message whose fate is unknown may be tried once more; null: it was.</summary>
    /// <param name="attempts">How often it was tried, the last one included; from 1.</param>
    /// <param name="now">The present instant.</param>
    public static Instant? AfterUnknown(int attempts, Instant now) => attempts < AttemptsOfUnknown ? now + Duration.FromMinutes(15) : null;

    /// <summary>How long a mail server that is away is left alone: 1, 2, 5, 10, 15 minutes, then half an hour.</summary>
    /// <param name="tries">How often in a row it was away; from 1.</param>
    public static Duration ForServer(int tries) => At(Server, tries);

    /// <summary>How long nothing is sent after several refusals in a row: one hour, two, then four.</summary>
    /// <param name="tries">How often in a row it came to this; from 1.</param>
    public static Duration ForRefusals(int tries) => At(Refusals, tries);

    private static Duration At(Duration[] waits, int tries) => waits[int.Clamp(tries, 1, waits.Length) - 1];

    private static Duration WithJitter(Duration wait, string key, int attempt)
    {
        var thousandths = (long)(Stamp.Empty.With(key).With(attempt).Value % (JitterThousandths + 1));
        return wait + Duration.FromTicks(wait.BclCompatibleTicks / 1000 * thousandths);
    }
}
