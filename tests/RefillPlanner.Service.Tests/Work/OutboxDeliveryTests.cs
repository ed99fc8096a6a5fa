using System;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Messages;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>What becomes of a message, whatever the mail server answers.</summary>
public sealed class OutboxDeliveryTests
{
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 15, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task M4_A_message_not_taken_is_tried_after_thirty_minutes_and_not_before()
    {
        // RFC 5321, 4.5.4.1: the retry interval should be at least 30 minutes.
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Deferred, "450 later"));
        var tried = bench.Route.Letters.Count;
        Assert.True(tried > 5);
        bench.Time.Advance(TimeSpan.FromMinutes(29));
        await bench.Rounds.SweepAsync(TestContext.Current.CancellationToken);
        Assert.Equal(tried, bench.Route.Letters.Count);

        // Up to a tenth later, so that what was put off together does not come back together.
        bench.Time.Advance(TimeSpan.FromMinutes(4));
        bench.Route.Answer = _ => new Delivery(DeliveryOutcome.Accepted, "250 taken");
        await bench.Rounds.SweepAsync(TestContext.Current.CancellationToken);
        Assert.Equal(2 * tried, bench.Route.Letters.Count);
        Assert.Equal(tried, bench.Route.Letters.Select(letter => letter.MessageId).Distinct().Count());
        Assert.Equal(tried, Count(bench, MessageState.Accepted));
    }

    [Fact]
    public async Task A_message_refused_for_good_is_on_the_staff_list()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Refused, "550 no such user"));
        using var reading = bench.Desk.Database.Read();
        Assert.Equal(bench.Route.Letters.Count, Count(bench, MessageState.Bounced));
        Assert.Contains(reading.Outbox.ListNotAccepted("S-1", NodaConstants.UnixEpoch), message => message.Detail == "550 no such user");
    }

    [Fact]
    public async Task After_a_break_behind_the_final_dot_there_is_one_retry_and_no_third()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Unknown, "broken"));
        var tried = bench.Route.Letters.Count;
        for (var round = 0; round < 5; round++)
        {
            bench.Time.Advance(TimeSpan.FromMinutes(20));
            await bench.Rounds.SweepAsync(TestContext.Current.CancellationToken);
        }

        Assert.All(bench.Route.Letters.CountBy(letter => letter.MessageId!), letter => Assert.Equal(2, letter.Value));
        Assert.True(Count(bench, MessageState.Unknown) >= tried);
    }

    [Fact]
    public async Task What_a_kill_left_as_sending_is_tried_once_more_under_the_same_id()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Deferred, "450 later"));
        MessageKey key;
        using (var transaction = bench.Desk.Database.Begin())
        {
            key = transaction.Outbox.List(MessageState.Queued)[0].Message.Key;
            transaction.Outbox.Claim(transaction.Outbox.Find(key)!, bench.Desk.Now, bench.Desk.Now + Duration.FromMinutes(15));
            transaction.Commit();
        }

        bench.Outbox.Recover();
        using (var reading = bench.Desk.Database.Read())
            Assert.Equal(MessageState.Unknown, reading.Outbox.Find(key)!.State);
    }

    [Fact]
    public async Task A_message_whose_time_has_passed_expires_and_is_shown()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Deferred, "450 later"));
        var waiting = Count(bench, MessageState.Queued);
        bench.Time.Advance(TimeSpan.FromDays(5));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.True(waiting > 0);
        Assert.Equal(waiting, Count(bench, MessageState.Expired));
    }

    [Fact]
    public async Task A_patient_who_opts_out_between_decision_and_sending_gets_nothing()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Deferred, "450 later"));
        var patientId = WaitingPatient(bench);
        using (var transaction = bench.Desk.Database.Begin())
        {
            transaction.Ledger.Put(transaction.Ledger.ListPatients().First(patient => patient.Id == patientId) with { EmailOptedOutOn = Today });
            transaction.Commit();
        }

        bench.Route.Letters.Clear();
        bench.Route.Answer = _ => new Delivery(DeliveryOutcome.Accepted, "250 taken");
        bench.Time.Advance(TimeSpan.FromMinutes(33));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        using var reading = bench.Desk.Database.Read();
        Assert.All(reading.Outbox.ListOfPatient(patientId).Where(message => message.Message.Kind == MessageKind.PatientNotice), message => Assert.Equal(MessageState.Suppressed, message.State));
    }

    [Fact]
    public async Task Nothing_goes_to_a_patient_outside_the_sending_window()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Deferred, "450 later"));
        bench.Route.Letters.Clear();
        bench.Route.Answer = _ => new Delivery(DeliveryOutcome.Accepted, "250 taken");
        bench.Time.SetUtcNow(new DateTimeOffset(2026, 3, 3, 1, 0, 0, TimeSpan.Zero)); // 20:00 in New York
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.DoesNotContain(bench.Route.Letters, letter => letter.To.Mailboxes.Single().Address.StartsWith("patient", StringComparison.Ordinal));
        Assert.Contains(bench.Route.Letters, letter => letter.To.Mailboxes.Single().Address.StartsWith("staff", StringComparison.Ordinal));
        bench.Time.SetUtcNow(new DateTimeOffset(2026, 3, 3, 17, 0, 0, TimeSpan.Zero));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.Contains(bench.Route.Letters, letter => letter.To.Mailboxes.Single().Address.StartsWith("patient", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Planning_twice_changes_nothing_the_second_time()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Accepted, "250 taken"));
        var before = bench.Tasks().Values.Select(task => task.ToString()).Order(StringComparer.Ordinal).ToArray();
        bench.Planning.Run();
        Assert.Equal(before, bench.Tasks().Values.Select(task => task.ToString()).Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task A_patient_who_moved_to_another_site_does_not_stop_the_old_ones_list()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Accepted, "250 taken"));
        using (var transaction = bench.Desk.Database.Begin())
        {
            transaction.Ledger.Put(transaction.Ledger.ListPatients().First(patient => patient.Id == "PT-101") with { SiteId = "S-2" });
            transaction.Commit();
        }

        bench.Planning.Run();
        bench.Time.Advance(TimeSpan.FromDays(1));
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        Assert.All(bench.Tasks().Values.Where(task => task.Task.PatientId == "PT-101" && Core.Tasks.TaskLife.IsOpen(task.State)), task => Assert.Equal("S-2", task.Task.SiteId));
    }

    [Fact]
    public async Task One_patient_whose_record_cannot_be_read_does_not_stop_the_others()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Accepted, "250 taken"));
        bench.Damage("UPDATE steps SET doses = 'x' WHERE course_id = 'C-101'; UPDATE patients SET phone = phone WHERE patient_id = 'PT-101';");
        bench.Route.Letters.Clear();
        Assert.Equal(["PT-101"], bench.Planning.Run().Failed);
        bench.Time.Advance(TimeSpan.FromDays(1));
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        Assert.Contains(bench.Route.Letters, letter => letter.Subject == "Refill-due list, Tuesday, March 3");
        Assert.Contains(bench.Route.Letters, letter => letter.To.Mailboxes.Single().Address.StartsWith("patient", StringComparison.Ordinal));
    }

    private static Task<Bench> BenchAsync(Delivery answer) => Bench.LivedAsync(Start, Today, answer);

    private static string WaitingPatient(Bench bench)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Outbox.List(MessageState.Queued).First(message => message.Message.Kind == MessageKind.PatientNotice).Message.PatientId!;
    }

    private static int Count(Bench bench, MessageState state)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Outbox.List(state).Count;
    }
}
