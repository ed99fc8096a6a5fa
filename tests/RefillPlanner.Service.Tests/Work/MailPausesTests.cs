using System;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Settings;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>When the fault is the server's, the account's or ours, messages wait, and the person who runs the service is told.</summary>
public sealed class MailPausesTests
{
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 15, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task M3_A_server_that_is_away_is_left_alone_and_no_message_loses_a_try()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        Assert.Single(bench.Route.Letters);
        var pause = Pause(bench, PauseKind.MailServer);
        Assert.Equal(bench.Desk.Now + Duration.FromMinutes(1), pause.Until);
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.Single(bench.Route.Letters);
        using (var reading = bench.Desk.Database.Read())
            Assert.All(reading.Outbox.List(MessageState.Queued), message => Assert.Equal(0, message.Attempts));

        bench.Time.Advance(TimeSpan.FromMinutes(1));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.Equal((2, bench.Desk.Now + Duration.FromMinutes(2)), (Pause(bench, PauseKind.MailServer).Tries, Pause(bench, PauseKind.MailServer).Until!.Value));

        bench.Time.Advance(TimeSpan.FromMinutes(2));
        bench.Route.Answer = _ => new Delivery(DeliveryOutcome.Accepted, "250 taken");
        Assert.True(await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken) > 5);
        using var after = bench.Desk.Database.Read();
        Assert.Empty(after.Pauses.List());
        Assert.Empty(after.Outbox.List(MessageState.Queued));
    }

    [Fact]
    public async Task M8_An_account_that_is_not_taken_twice_waits_for_a_person_who_is_told()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.AccountRefused, "535 no such account"));
        bench.Time.Advance(TimeSpan.FromMinutes(5));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.Equal(2, bench.Route.Letters.Count);
        Assert.Null(Pause(bench, PauseKind.MailAccount).Until);
        bench.Time.Advance(TimeSpan.FromHours(20));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.Equal(2, bench.Route.Letters.Count);

        using var reading = bench.Desk.Database.Read();
        var alert = reading.Outbox.List(MessageState.Queued).Single(message => message.Message.Key.Text.StartsWith("service-alert/mail-account/", StringComparison.Ordinal)).Message;
        Assert.Equal("owner@example.org", alert.To);
        Assert.Contains("535 no such account", alert.Text, StringComparison.Ordinal);
        Assert.Contains("--go-on", alert.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task M8_What_waits_too_long_for_a_person_expires_and_stands_on_the_list()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.AccountRefused, "535 no such account"));
        bench.Time.Advance(TimeSpan.FromMinutes(5));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        bench.Time.Advance(TimeSpan.FromDays(5));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        using var reading = bench.Desk.Database.Read();
        var expired = reading.Outbox.List(MessageState.Expired).Where(message => message.Message.PatientId is not null).ToArray();
        Assert.NotEmpty(expired);
        Assert.Empty(reading.Outbox.ListOutOfTime(bench.Desk.Now));
        Assert.All(expired, message => Assert.Contains(reading.Outbox.ListNotAccepted(message.Message.SiteId!, NodaConstants.UnixEpoch), listed => listed.Key == message.Message.Key));
    }

    [Fact]
    public async Task M8_A_quota_that_is_reached_waits_for_the_next_sending_window()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.QuotaReached, "452 4.5.3 enough for today"));
        Assert.Single(bench.Route.Letters);

        // Tuesday 09:00 in New York.
        Assert.Equal(Instant.FromUtc(2026, 3, 3, 14, 0), Pause(bench, PauseKind.MailAccount).Until);
    }

    [Fact]
    public async Task M5_More_than_three_refusals_in_a_row_are_our_fault_and_the_rest_waits()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Refused, "550 not from you"));
        using (var reading = bench.Desk.Database.Read())
        {
            Assert.Equal(4, reading.Outbox.List(MessageState.Bounced).Count);
            Assert.NotEmpty(reading.Outbox.List(MessageState.Queued));
        }

        Assert.Equal(bench.Desk.Now + Duration.FromHours(1), Pause(bench, PauseKind.MailRefusals).Until);
        bench.Time.Advance(TimeSpan.FromHours(1));
        bench.Route.Answer = _ => new Delivery(DeliveryOutcome.Accepted, "250 taken");
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        using var after = bench.Desk.Database.Read();
        Assert.Empty(after.Pauses.List());
        Assert.Empty(after.Outbox.List(MessageState.Queued));
    }

    [Theory]
    [InlineData(PauseKind.Restored)]
    [InlineData(PauseKind.Clock)]
    public async Task S5_Nothing_is_sent_until_a_person_confirms(PauseKind kind)
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        using (var transaction = bench.Desk.Database.Begin())
        {
            transaction.Pauses.Put(new Pause(kind, bench.Desk.Now, Until: null, Tries: 1, "looked at by nobody."), bench.Desk.Now, "test");
            transaction.Commit();
        }

        bench.Route.Letters.Clear();
        bench.Route.Answer = _ => new Delivery(DeliveryOutcome.Accepted, "250 taken");
        bench.Time.Advance(TimeSpan.FromHours(1));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.Empty(bench.Route.Letters);
        using (var transaction = bench.Desk.Database.Begin())
        {
            Assert.True(transaction.Pauses.End(kind, bench.Desk.Now, "a person"));
            transaction.Commit();
        }

        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.NotEmpty(bench.Route.Letters);
    }

    [Fact]
    public async Task The_person_who_runs_the_service_gets_the_head_of_the_audit_once_a_day()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Accepted, "250 taken"));
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        var report = bench.Route.Letters.Single(letter => letter.To.Mailboxes.Single().Address == "owner@example.org");
        Assert.Equal("RefillPlanner, report of the day", report.Subject);
        var head = report.TextBody!.Split('\n').Single(line => line.StartsWith("Head of the audit: ", StringComparison.Ordinal)).Trim()[^64..];
        using var reading = bench.Desk.Database.Read();
        Assert.True(reading.Audit.Holds(head));
        Assert.False(reading.Audit.Holds(new string('0', 63) + "1"));
        Assert.Null(reading.Audit.Verify().BrokenAt);
    }

    private static Pause Pause(Bench bench, PauseKind kind)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Pauses.List().Single(pause => pause.Kind == kind);
    }

    private static Task<Bench> BenchAsync(Delivery answer) => Bench.LivedAsync(Start, Today, answer, new PlannerSettings { Mail = new MailSettings { ServiceTo = "owner@example.org" } });
}
