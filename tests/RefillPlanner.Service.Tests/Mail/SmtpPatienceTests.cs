using System;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>Breaks, waits and stops, before the final dot and after it.</summary>
public sealed class SmtpPatienceTests
{
    private static readonly TimeSpan Minute = TimeSpan.FromMinutes(1);

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task M1_Dropped_after_the_final_dot_nobody_knows_and_a_second_try_has_the_same_id(bool isTaken)
    {
        await using var stand = new SmtpStand(moment => moment is { Phase: "MESSAGE", Message: 1 } ? isTaken ? Reply.TakeAndClose : Reply.Close : null);
        Assert.Equal(DeliveryOutcome.Unknown, (await stand.SendAsync()).Outcome);
        Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync()).Outcome);
        Assert.Single(stand.Server.Letters.Select(letter => letter.MessageId).Distinct());
        Assert.Equal([isTaken, true], stand.Server.Letters.Select(letter => letter.IsTaken));
    }

    [Fact]
    public async Task M1_However_long_a_letter_is_and_whatever_dots_it_has_a_drop_after_the_final_dot_is_known_as_such()
    {
        // MailKit writes blocks of 4096 bytes: the dot may be in the same block, in the next, or across.
        await using var stand = new SmtpStand(SmtpStand.At("MESSAGE", Reply.Close));
        var letters = 0;
        var block = 4096 - Letters.Bytes(SmtpStand.LetterOf(0)).ReplaceLineEndings("\r\n").Length;
        for (var bytes = block - 100; bytes < block + 20; bytes++)
        {
            Assert.Equal(DeliveryOutcome.Unknown, (await stand.SendAsync(SmtpStand.LetterOf(bytes, withDots: bytes % 2 == 0))).Outcome);
            letters++;
        }

        Assert.Equal(letters, stand.Server.Letters.Count);
        Assert.True(stand.Server.Letters.Min(letter => letter.Bytes) < 4096 && stand.Server.Letters.Max(letter => letter.Bytes) > 4096);
    }

    [Fact]
    public async Task M1_Dropped_between_the_leave_to_send_and_the_final_dot_the_letter_was_not_taken()
    {
        // Larger than what two sockets hold between them: the dot cannot be out.
        await using var stand = new SmtpStand(SmtpStand.At("LETTER", Reply.Close));
        var broken = await stand.SendAsync(SmtpStand.LetterOf(16 << 20));
        Assert.Equal(DeliveryOutcome.ServerAway, broken.Outcome);
        Assert.StartsWith("sending the letter: ", broken.Detail, StringComparison.Ordinal);
        Assert.Empty(stand.Server.Letters);
    }

    [Fact]
    public async Task M1_A_wrong_answer_after_the_final_dot_is_no_answer()
    {
        await using var stand = new SmtpStand(SmtpStand.At("MESSAGE", "what?"));
        Assert.Equal(DeliveryOutcome.Unknown, (await stand.SendAsync()).Outcome);
    }

    [Fact]
    public async Task M2_The_answer_to_the_final_dot_is_waited_for_ten_minutes()
    {
        // RFC 5321, 4.5.3.2.6.
        await using var stand = new SmtpStand(SmtpStand.At("MESSAGE", Reply.Hang));
        var unknown = await stand.SendUntilAsync("MESSAGE", 10 * Minute);
        Assert.Equal(new Delivery(DeliveryOutcome.Unknown, "after the final dot: no answer in time"), unknown);
    }

    [Fact]
    public async Task M2_An_answer_after_nine_minutes_is_an_answer()
    {
        using var gate = new SemaphoreSlim(0);
        await using var stand = new SmtpStand(moment => Wait(gate, moment, "MESSAGE"));
        var sending = stand.SendAsync();
        await SmtpStand.Soon(stand.Server.ReachedAsync("MESSAGE"));
        stand.Time.Advance(9 * Minute);
        gate.Release();
        Assert.Equal(DeliveryOutcome.Accepted, (await sending).Outcome);
    }

    [Theory]
    [InlineData("GREETING")]
    [InlineData("EHLO")]
    [InlineData("MAIL")]
    [InlineData("RCPT")]
    [InlineData("DATA")]
    public async Task M8_A_server_that_hangs_before_the_final_dot_is_left_after_a_minute(string phase)
    {
        await using var stand = new SmtpStand(SmtpStand.At(phase, Reply.Hang));
        var away = await stand.SendUntilAsync(phase, Minute);
        Assert.Equal(DeliveryOutcome.ServerAway, away.Outcome);
        Assert.EndsWith("no answer in time", away.Detail, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("GREETING")]
    [InlineData("MAIL")]
    [InlineData("RCPT")]
    [InlineData("DATA")]
    public async Task M8_One_byte_now_and_then_gains_no_time(string phase)
    {
        await using var stand = new SmtpStand(SmtpStand.At(phase, Reply.Drip("250 in a moment", TimeSpan.FromSeconds(20))));
        Assert.Equal(DeliveryOutcome.ServerAway, (await stand.SendUntilAsync(phase, Minute / 3, Minute / 3, Minute / 3)).Outcome);
    }

    [Fact]
    public async Task M8_One_byte_now_and_then_after_the_final_dot_gains_no_time_either()
    {
        await using var stand = new SmtpStand(SmtpStand.At("MESSAGE", Reply.Drip("250 in a moment", TimeSpan.FromMinutes(2))));
        Assert.Equal(DeliveryOutcome.Unknown, (await stand.SendUntilAsync("MESSAGE", 2 * Minute, 2 * Minute, 2 * Minute, 2 * Minute, 2 * Minute)).Outcome);
    }

    [Fact]
    public async Task M8_A_letter_is_given_three_minutes_in_all_before_its_final_dot()
    {
        // 50 seconds at each of three steps is in time each time; the letter itself then has 30 seconds left.
        using var gate = new SemaphoreSlim(0);
        await using var stand = new SmtpStand(moment => moment.Phase == "LETTER" ? Reply.Hang : Wait(gate, moment, "MAIL", "RCPT", "DATA"));
        var sending = stand.SendAsync(SmtpStand.LetterOf(16 << 20));
        foreach (var phase in new[] { "MAIL", "RCPT", "DATA" })
        {
            await SmtpStand.Soon(stand.Server.ReachedAsync(phase));
            stand.Time.Advance(TimeSpan.FromSeconds(50));
            gate.Release();
        }

        await SmtpStand.Soon(stand.Server.ReachedAsync("LETTER"));
        stand.Time.Advance(TimeSpan.FromSeconds(30));
        var away = await sending;
        Assert.Equal(DeliveryOutcome.ServerAway, away.Outcome);
        Assert.EndsWith("no answer in time", away.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task P3_A_stop_before_the_final_dot_ends_the_try_and_nothing_is_sent()
    {
        await using var stand = new SmtpStand(SmtpStand.At("RCPT", Reply.Hang));
        using var stop = new CancellationTokenSource();
        var sending = stand.Route.SendAsync(Letters.Letter(), stop.Token);
        await SmtpStand.Soon(stand.Server.ReachedAsync("RCPT"));
        await stop.CancelAsync();
        Assert.Equal(new Delivery(DeliveryOutcome.ServerAway, "stopped"), await SmtpStand.Soon(sending));
        Assert.Equal(new Delivery(DeliveryOutcome.ServerAway, "stopped"), await SmtpStand.Soon(stand.Route.SendAsync(Letters.Letter(), stop.Token)));
        Assert.Empty(stand.Server.Letters);
    }

    [Fact]
    public async Task P3_Giving_up_after_the_final_dot_leaves_the_fate_of_the_letter_unknown()
    {
        using var gate = new SemaphoreSlim(0);
        await using var stand = new SmtpStand(moment => Wait(gate, moment, "MESSAGE"));
        using var stop = new CancellationTokenSource();
        var sending = stand.Route.SendAsync(Letters.Letter(), stop.Token);
        await SmtpStand.Soon(stand.Server.ReachedAsync("MESSAGE"));
        await stop.CancelAsync();
        Assert.Equal(DeliveryOutcome.Unknown, (await SmtpStand.Soon(sending)).Outcome);
        gate.Release();
    }

    [Fact]
    public async Task A_refusal_does_not_wait_for_the_answer_to_what_follows_it()
    {
        await using var stand = new SmtpStand(moment => moment.Phase switch { "MESSAGE" => "554 5.7.1 not wanted", "RSET" => Reply.Hang, _ => null });
        var sending = stand.SendAsync();
        await SmtpStand.Soon(stand.Server.ReachedAsync("RSET"));

        // The client's wait begins when it has written: the clock goes on until it is seen, and for less than the ten minutes after a dot.
        using var patience = new PeriodicTimer(TimeSpan.FromMilliseconds(10));
        for (var second = 0; second < 500 && !sending.IsCompleted; second++)
        {
            stand.Time.Advance(TimeSpan.FromSeconds(1));
            await patience.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        Assert.Equal(new Delivery(DeliveryOutcome.Refused, "after the final dot: 554 5.7.1 not wanted"), await sending);
    }

    [Fact]
    public async Task A_server_that_never_says_good_bye_is_left_after_five_seconds()
    {
        await using var stand = new SmtpStand(SmtpStand.At("QUIT", Reply.Hang));
        await stand.SendAsync();
        var leaving = stand.Route.DisposeAsync().AsTask();
        await SmtpStand.Soon(stand.Server.ReachedAsync("QUIT"));
        stand.Time.Advance(TimeSpan.FromSeconds(5));
        await SmtpStand.Soon(leaving);
    }

    [Fact]
    public async Task A_letter_is_accepted_before_the_connection_that_carried_its_hundred_is_ended()
    {
        await using var stand = new SmtpStand(SmtpStand.At("QUIT", Reply.Hang));
        for (var letter = 0; letter < 100; letter++)
            Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync()).Outcome);
        Assert.DoesNotContain(stand.Server.Moments, moment => moment.Phase == "QUIT");
    }

    // The usual answer, but at some moments only when the gate is opened.
    private static Reply? Wait(SemaphoreSlim gate, SmtpMoment moment, params string[] phases)
    {
        if (phases.Contains(moment.Phase))
            gate.Wait(TimeSpan.FromSeconds(30));
        return null;
    }
}
