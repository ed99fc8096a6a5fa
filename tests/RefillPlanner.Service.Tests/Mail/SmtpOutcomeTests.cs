using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>What a server answers decides what to do next.</summary>
public sealed class SmtpOutcomeTests : IDisposable
{
    private readonly string _password = Path.GetTempFileName();

    public SmtpOutcomeTests() => File.WriteAllText(_password, "right\n");

    public void Dispose() => File.Delete(_password);

    [Fact]
    public async Task One_connection_carries_a_hundred_letters_and_no_more()
    {
        await using var stand = new SmtpStand(_ => null);
        for (var letter = 0; letter < 101; letter++)
            Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync()).Outcome);
        Assert.Equal([100, 1], stand.Server.Letters.CountBy(letter => letter.Connection).Select(count => count.Value));
        Assert.All(stand.Server.Letters, letter => Assert.True(letter.IsAccepted));
    }

    [Theory]
    [InlineData("GREETING", "421 4.3.2 shutting down")]
    [InlineData("EHLO", "421 4.3.2 shutting down")]
    [InlineData("AUTH", "421 4.3.2 shutting down")]
    [InlineData("AUTH", "454 4.7.0 temporary failure")]
    [InlineData("MAIL", "421 4.3.2 shutting down")]
    [InlineData("MAIL", "451 4.3.0 local error")]
    [InlineData("RCPT", "421 4.3.2 shutting down")]
    [InlineData("DATA", "421 4.3.2 shutting down")]
    [InlineData("MESSAGE", "421 4.3.2 shutting down")]
    [InlineData("GREETING", null)]
    [InlineData("EHLO", null)]
    [InlineData("AUTH", null)]
    [InlineData("MAIL", null)]
    [InlineData("RCPT", null)]
    [InlineData("DATA", null)]
    [InlineData("DATA", "250 a wrong answer")]
    [InlineData("GREETING", "no SMTP at all")]
    public async Task M3_A_server_that_goes_away_pauses_the_server_and_the_next_letter_takes_a_new_connection(string phase, string? answer)
    {
        await using var stand = Stand(moment => moment.Phase == phase && moment.Connection == 1 ? answer ?? Reply.Close : null);
        var away = await stand.SendAsync();
        Assert.Equal(DeliveryOutcome.ServerAway, away.Outcome);
        Assert.DoesNotContain(stand.Server.Letters, letter => letter.IsTaken);
        Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync()).Outcome);
        Assert.Equal(2, stand.Server.Connections);
    }

    [Fact]
    public async Task M3_Nobody_listening_and_no_such_name_are_a_server_that_is_away()
    {
        var server = new ScriptedServer();
        server.Dispose();
        foreach (var host in new[] { "127.0.0.1", "no-such-host.invalid" })
        {
            await using var route = new SmtpRoute(new MailSettings { Host = host, Port = server.Port }, TimeProvider.System);
            var delivery = await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken);
            Assert.Equal(DeliveryOutcome.ServerAway, delivery.Outcome);
            Assert.StartsWith("connecting: ", delivery.Detail, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task M3_A_kept_connection_that_the_server_has_closed_is_made_anew_at_once()
    {
        await using var stand = new SmtpStand(moment => moment.Phase == "MAIL" && moment is { Connection: 1, Message: 2 } ? "421 4.4.2 idle too long" : null);
        for (var letter = 0; letter < 3; letter++)
            Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync()).Outcome);
        Assert.Equal([1, 2, 2], stand.Server.Letters.Select(letter => letter.Connection));
    }

    [Fact]
    public async Task M3_A_connection_left_idle_is_ended_politely_and_made_anew()
    {
        await using var stand = new SmtpStand(_ => null);
        await stand.SendAsync();
        stand.Time.Advance(TimeSpan.FromSeconds(61));
        await stand.SendAsync();
        Assert.Equal([1, 2], stand.Server.Letters.Select(letter => letter.Connection));
        Assert.Contains(stand.Server.Moments, moment => moment is { Phase: "QUIT", Connection: 1 });
    }

    [Theory]
    [InlineData("RCPT", "450 4.7.1 greylisted, come again")]
    [InlineData("RCPT", "451 4.7.1 greylisted, come again")]
    [InlineData("RCPT", "452 4.2.2 mailbox full")]
    [InlineData("RCPT", "452 mailbox full")]
    [InlineData("DATA", "451 4.7.1 later")]
    [InlineData("MESSAGE", "451 4.7.1 later")]
    [InlineData("MESSAGE", "452 4.2.2 mailbox full")]
    public async Task M4_A_recipient_not_taken_now_puts_off_this_message_alone(string phase, string answer)
    {
        await using var stand = new SmtpStand(moment => moment.Phase == phase && moment.Message == 1 ? answer : null);
        var deferred = await stand.SendAsync();
        Assert.Equal(DeliveryOutcome.Deferred, deferred.Outcome);
        Assert.EndsWith(answer, deferred.Detail, StringComparison.Ordinal);
        Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync()).Outcome);
        Assert.Equal(1, stand.Server.Connections);
    }

    [Theory]
    [InlineData("MAIL", "552 5.3.4 too large")]
    [InlineData("RCPT", "550 5.1.1 no such user")]
    [InlineData("RCPT", "553 5.1.3 bad address")]
    [InlineData("RCPT", "554 5.7.1 not wanted")]
    [InlineData("DATA", "554 5.5.1 no valid recipients")]
    [InlineData("MESSAGE", "554 5.7.1 not wanted")]
    public async Task M5_A_message_refused_for_good_is_the_only_one_refused(string phase, string answer)
    {
        await using var stand = new SmtpStand(moment => moment.Phase == phase && moment.Message <= 3 ? answer : null);
        for (var letter = 0; letter < 3; letter++)
            Assert.Equal(DeliveryOutcome.Refused, (await stand.SendAsync()).Outcome);
        Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync()).Outcome);
        Assert.Equal(1, stand.Server.Connections);
    }

    [Fact]
    public async Task M6_One_bad_recipient_costs_no_other_recipient_a_letter()
    {
        await using var stand = new SmtpStand(moment => moment.Line.Contains("bad@", StringComparison.Ordinal) ? "550 5.1.1 no such user" : null);
        var outcomes = new List<DeliveryOutcome>();
        foreach (var address in new[] { "one@example.net", "bad@example.net", "two@example.net" })
            outcomes.Add((await stand.SendAsync(SmtpStand.LetterTo(address))).Outcome);
        Assert.Equal([DeliveryOutcome.Accepted, DeliveryOutcome.Refused, DeliveryOutcome.Accepted], outcomes);
        Assert.Equal(["one@example.net", "two@example.net"], stand.Server.Letters.Select(letter => letter.To));
    }

    [Fact]
    public async Task M6_A_letter_to_two_people_is_no_letter()
    {
        await using var stand = new SmtpStand(_ => null);
        await Assert.ThrowsAsync<ArgumentException>(() => stand.SendAsync(SmtpStand.LetterTo("one@example.net;two@example.net")));
        Assert.Equal(0, stand.Server.Connections);
    }

    [Fact]
    public async Task M5_An_address_that_this_server_cannot_write_is_refused_and_no_other()
    {
        // RFC 6531, 3.2: letters beyond ASCII before the @ only where the server offers SMTPUTF8.
        await using var stand = new SmtpStand(_ => null);
        Assert.Equal(DeliveryOutcome.Refused, (await stand.SendAsync(SmtpStand.LetterTo("jörg@example.net"))).Outcome);
        Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync(SmtpStand.LetterTo("joerg@bücher.example"))).Outcome);
        Assert.Equal("joerg@xn--bcher-kva.example", Assert.Single(stand.Server.Letters).To);
    }

    [Theory]
    [InlineData("MAIL", "452 too many messages")]
    [InlineData("MAIL", "454 Throttling failure: Daily message quota exceeded.")]
    [InlineData("MAIL", "421 4.7.28 too many", DeliveryOutcome.ServerAway)]
    [InlineData("MAIL", "450 4.7.28 unusual rate of mail")]
    [InlineData("RCPT", "550 5.4.5 Daily user sending limit exceeded")]
    [InlineData("RCPT", "450 4.7.28 unusual rate of mail")]
    [InlineData("RCPT", "452 4.1.0 enough for today")]
    [InlineData("DATA", "550 5.4.5 Daily user sending limit exceeded")]
    [InlineData("MESSAGE", "550 5.4.5 Daily user sending limit exceeded")]
    [InlineData("MESSAGE", "454 Throttling failure: Maximum sending rate exceeded.")]
    [InlineData("MAIL", "452 4.3.1 disk full", DeliveryOutcome.ServerAway)]
    public async Task M8_A_daily_quota_pauses_all_mail_to_the_next_window(string phase, string answer, DeliveryOutcome expected = DeliveryOutcome.QuotaReached)
    {
        await using var stand = new SmtpStand(SmtpStand.At(phase, answer));
        Assert.Equal(expected, (await stand.SendAsync()).Outcome);
        Assert.DoesNotContain(stand.Server.Letters, letter => letter.IsTaken);
    }

    [Theory]
    [InlineData("GREETING", "554 5.7.1 you are not welcome")]
    [InlineData("EHLO", "550 5.7.1 you are not welcome")]
    [InlineData("AUTH", "535 5.7.8 wrong password")]
    [InlineData("AUTH", "534 5.7.9 another mechanism")]
    [InlineData("AUTH", "538 5.7.11 encryption needed")]
    [InlineData("AUTH", "550 5.7.1 account disabled")]
    [InlineData("MAIL", "530 5.7.0 log in first")]
    [InlineData("MAIL", "550 5.7.1 not your address")]
    [InlineData("MAIL", "553 5.7.1 sender refused")]
    [InlineData("RCPT", "530 5.7.0 log in first")]
    public async Task M8_What_only_a_person_can_mend_stops_all_mail(string phase, string answer)
    {
        await using var stand = Stand(SmtpStand.At(phase, answer));
        var refused = await stand.SendAsync();
        Assert.Equal(DeliveryOutcome.AccountRefused, refused.Outcome);
        Assert.Contains(answer[..3], refused.Detail, StringComparison.Ordinal);
        Assert.Empty(stand.Server.Letters);
        Assert.True(stand.Server.Moments.Count(moment => moment.Phase == "AUTH") <= 1);
    }

    [Fact]
    public async Task A_detail_is_one_line_of_the_server_and_nothing_of_the_letter()
    {
        await using var stand = new SmtpStand(SmtpStand.At("MESSAGE", "554-5.7.1 refused\r\n554 \u001b[31mbecause\u0007 " + new string('x', 2000)));
        var detail = (await stand.SendAsync()).Detail;
        Assert.StartsWith("after the final dot: 554 5.7.1 refused", detail, StringComparison.Ordinal);
        Assert.Equal(Delivery.MostDetail, detail.Length);
        Assert.DoesNotContain(detail, char.IsControl);
        Assert.DoesNotContain("Quillfeather", detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_server_that_can_is_asked_for_bounces_that_name_the_message()
    {
        // RFC 3461, 4.1 and 4.4.
        await using var stand = new SmtpStand(_ => null, options: new ScriptedServerOptions { Extensions = ["PIPELINING", "DSN"] });
        await stand.SendAsync();
        Assert.Contains(stand.Server.Moments, moment => moment.Phase == "MAIL" && moment.Line.Contains($"ENVID={Letters.Letter().MessageId!.Split('@')[0]}", StringComparison.Ordinal));
        Assert.Contains(stand.Server.Moments, moment => moment.Phase == "RCPT" && moment.Line.Contains("NOTIFY=FAILURE", StringComparison.Ordinal));
    }

    // With a user, so that AUTH is spoken.
    private SmtpStand Stand(Func<SmtpMoment, Reply?> script) =>
        new(script, new MailSettings { Security = MailSecurity.Plain, User = "planner", PasswordFile = _password }, new ScriptedServerOptions { Account = ("planner", "right") });
}
