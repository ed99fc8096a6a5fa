using System.Linq;
using NodaTime;
using RefillPlanner.Core.Messages;
using Xunit;

namespace RefillPlanner.Core.Tests.Messages;

/// <summary>How long sending waits after a failure.</summary>
public sealed class SendingWaitsTests
{
    private static readonly Instant Now = Instant.FromUtc(2026, 3, 2, 15, 0);
    private static readonly MessageKey Key = new("patient-notice/P-7/2026-03-02");

    [Theory]
    [InlineData(1, 30)]
    [InlineData(2, 30)]
    [InlineData(3, 60)]
    [InlineData(4, 120)]
    [InlineData(5, 120)]
    [InlineData(40, 120)]
    public void M4_A_message_not_taken_waits_30_30_60_120_minutes_then_two_hours_and_up_to_a_tenth_more(int attempts, int minutes)
    {
        // RFC 5321, 4.5.4.1: the retry interval should be at least 30 minutes. The rest is common practice.
        var wait = SendingWaits.AfterDeferred(Key, attempts, Now) - Now;
        Assert.InRange(wait, Duration.FromMinutes(minutes), Duration.FromMinutes(minutes * 1.1));
        Assert.Equal(wait, SendingWaits.AfterDeferred(Key, attempts, Now) - Now);
    }

    [Fact]
    public void What_was_put_off_together_does_not_come_back_together() =>
        Assert.True(Enumerable.Range(0, 100).Select(patient => SendingWaits.AfterDeferred(new MessageKey($"patient-notice/P-{patient}/2026-03-02"), 1, Now)).Distinct().Count() > 50);

    [Fact]
    public void M1_One_whose_fate_is_unknown_is_tried_once_more_after_a_quarter_of_an_hour_and_then_never()
    {
        Assert.Equal(Now + Duration.FromMinutes(15), SendingWaits.AfterUnknown(1, Now));
        Assert.Null(SendingWaits.AfterUnknown(2, Now));
    }
}
