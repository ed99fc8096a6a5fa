using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Core.Tasks;
using RefillPlanner.Service.Import;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>The last look before a message is sent, and what happens to those that are claimed.</summary>
public sealed class SendingCheckTests
{
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 15, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task M10_A_mail_merged_from_several_needs_says_nothing_of_one_that_was_met_meanwhile()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        var message = Queued(bench).First(message => message.Message is { Kind: MessageKind.PatientNotice, TaskKeys.Count: > 1 } && message.Message.TaskKeys.Any(key => key.Text.StartsWith("refill-contact/", StringComparison.Ordinal)));
        Assert.Contains("arrange your next supply", message.Message.Text, StringComparison.Ordinal);
        using (var transaction = bench.Desk.Database.Begin())
        {
            foreach (var key in message.Message.TaskKeys.Where(key => key.Text.StartsWith("refill-contact/", StringComparison.Ordinal)))
                transaction.Tasks.Move(key, TaskState.Done, bench.Desk.Now, "Jo", note: null);
            transaction.Commit();
        }

        await SendAsync(bench, DeliveryOutcome.Accepted);
        var letter = bench.Route.Letters.Single(letter => letter.MessageId == message.Message.MessageId);
        Assert.DoesNotContain("arrange your next supply", letter.TextBody, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("agreement taken back")]
    [InlineData("opted out")]
    [InlineData("in care")]
    [InlineData("moved")]
    [InlineData("deceased")]
    [InlineData("another address")]
    public async Task M10_Nothing_goes_to_a_patient_to_whom_it_may_not_go_any_more(string what)
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        var notice = Queued(bench).First(message => message.Message.Kind == MessageKind.PatientNotice).Message;
        using (var transaction = bench.Desk.Database.Begin())
        {
            var patient = transaction.Ledger.FindPatient(notice.PatientId!)!;
            transaction.Ledger.Put(what switch
            {
                "agreement taken back" => patient with { EmailAgreedOn = null },
                "opted out" => patient with { EmailOptedOutOn = Today },
                "in care" => patient with { Status = PatientStatus.InCare },
                "moved" => patient with { Status = PatientStatus.Moved },
                "deceased" => patient with { Status = PatientStatus.Deceased },
                _ => patient with { Email = "elsewhere@example.net" },
            });
            transaction.Commit();
        }

        await SendAsync(bench, DeliveryOutcome.Accepted);
        Assert.DoesNotContain(bench.Route.Letters, letter => letter.MessageId == notice.MessageId);
        using var reading = bench.Desk.Database.Read();
        Assert.Equal(MessageState.Suppressed, reading.Outbox.Find(notice.Key)!.State);
        Assert.Contains(reading.Outbox.ListNotAccepted(notice.SiteId!, NodaConstants.UnixEpoch), listed => listed.Key == notice.Key);
    }

    [Fact]
    public async Task M10_Nothing_goes_to_a_patient_whose_course_has_ended_since()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        var notice = Queued(bench).First(message => message.Message is { Kind: MessageKind.PatientNotice, TaskKeys: [var only] } && only.Text.StartsWith("refill-contact/", StringComparison.Ordinal)).Message;
        var course = notice.TaskKeys[0].Text.Split('/')[1];
        Assert.Empty(bench.Import($"fact_id,course_id,kind,on\r\nF-END,{course},ended,2026-03-02\r\n").Refusals);
        bench.Planning.Run();
        await SendAsync(bench, DeliveryOutcome.Accepted);
        Assert.DoesNotContain(bench.Route.Letters, letter => letter.MessageId == notice.MessageId);
        using var reading = bench.Desk.Database.Read();
        Assert.Equal(MessageState.Expired, reading.Outbox.Find(notice.Key)!.State);
    }

    [Fact]
    public async Task M10_Nothing_goes_to_a_patient_who_has_lapsed()
    {
        // The last fill was 182 days before, and its doses were covered for four weeks; lapsed is more than 90 days.
        using var bench = new Bench(Start);
        bench.ImportDemo(Today);
        var lapsed = RosterImport.Run(bench.Desk.Database, RosterFolder.Of(new Dictionary<string, string>
        {
            ["patients.csv"] = "patient_id,name,site_id,email,email_agreed_on\r\nPT-L,Quill Longgone,S-1,lapsed@example.net,2025-01-01\r\n",
            ["courses.csv"] = "course_id,patient_id,started_on,device_id\r\nC-L,PT-L,2025-09-01,D-U100\r\n",
            ["steps.csv"] = "course_id,step,product_id,doses,every_days\r\nC-L,1,P-SEMA,0.25 mg,7\r\n",
            ["facts.csv"] = "fact_id,course_id,kind,on,product_id,containers\r\nF-L,C-L,dispensed,2025-09-01,P-SEMA,1\r\n",
        }), bench.Desk.Now, "test");
        Assert.Empty(lapsed.Refusals);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        using var reading = bench.Desk.Database.Read();
        var notice = reading.Outbox.ListOfPatient("PT-L").Single(message => message.Message.Kind == MessageKind.PatientNotice);
        Assert.Equal((MessageState.Suppressed, "lapsed: no fill and no covered dose for more than 90 days"), (notice.State, notice.Detail));
        Assert.DoesNotContain(bench.Route.Letters, letter => letter.To.Mailboxes.Single().Address == "lapsed@example.net");
    }

    [Theory]
    [InlineData(" ")]
    [InlineData("nobody")]
    [InlineData("a@b c@d")]
    public async Task V6_An_address_that_cannot_be_used_is_shown_and_not_sent_to(string address)
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        var key = new MessageKey("step-up-alert/C-101/2020-01-01");
        using (var transaction = bench.Desk.Database.Begin())
        {
            var alert = transaction.Outbox.List(MessageState.Queued).First(message => message.Message.Kind == MessageKind.StepUpAlert).Message;
            transaction.Outbox.Add(alert with { Key = key, TaskKeys = [], To = address });
            transaction.Commit();
        }

        await SendAsync(bench, DeliveryOutcome.Accepted);
        using var reading = bench.Desk.Database.Read();
        var found = reading.Outbox.Find(key)!;
        Assert.Equal((MessageState.Suppressed, "its address cannot be used"), (found.State, found.Detail));
    }

    [Fact]
    public async Task S2_A_message_whose_words_were_changed_on_disk_is_never_sent_and_stands_on_the_list()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        var alert = Queued(bench).First(message => message.Message.Kind == MessageKind.StepUpAlert);
        bench.Damage($"UPDATE letters SET text_body = replace(text_body, '0.5', '5.0') WHERE message_key = '{alert.Message.Key}';");
        await SendAsync(bench, DeliveryOutcome.Accepted);
        Assert.DoesNotContain(bench.Route.Letters, letter => letter.MessageId == alert.Message.MessageId);
        using var reading = bench.Desk.Database.Read();
        var listed = reading.Outbox.ListNotAccepted(alert.Message.SiteId!, NodaConstants.UnixEpoch).Single(message => message.Key == alert.Message.Key);
        Assert.Contains("damaged", listed.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task S8_A_message_whose_lease_is_nearly_over_is_not_handed_to_the_server()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        bench.Route.Letters.Clear();

        // As if the process were frozen for an hour at the first letter of a group.
        bench.Route.Answer = _ =>
        {
            if (bench.Route.Letters.Count == 1)
                bench.Time.Advance(TimeSpan.FromHours(1));
            return new Delivery(DeliveryOutcome.Accepted, "250 taken");
        };
        bench.Time.Advance(TimeSpan.FromMinutes(1));
        var waiting = Queued(bench).Count;
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        Assert.Equal(waiting, bench.Route.Letters.Select(letter => letter.MessageId).Distinct().Count());
        Assert.Equal(waiting, bench.Route.Letters.Count);
    }

    [Fact]
    public async Task P3_A_stop_finishes_the_letter_in_hand_and_leaves_the_rest_queued()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        bench.Route.Letters.Clear();
        bench.Time.Advance(TimeSpan.FromMinutes(1));
        using var stop = new CancellationTokenSource();
        bench.Route.Answer = _ =>
        {
            stop.Cancel();
            return new Delivery(DeliveryOutcome.Accepted, "250 taken");
        };
        var waiting = Queued(bench).Count;
        Assert.Equal(1, await bench.Outbox.SendAllAsync(stop.Token));
        Assert.Single(bench.Route.Letters);
        Assert.Equal(waiting - 1, Queued(bench).Count);
        Assert.All(Queued(bench), message => Assert.Equal(0, message.Attempts));
    }

    [Fact]
    public async Task A_fault_of_the_program_while_sending_counts_as_unknown_because_nobody_knows_how_far_it_came()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.ServerAway, "421 busy"));
        bench.Time.Advance(TimeSpan.FromMinutes(1));
        bench.Route.Answer = _ => throw new InvalidOperationException("a fault");
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
        using var reading = bench.Desk.Database.Read();
        Assert.NotEmpty(reading.Outbox.List(MessageState.Unknown));
        Assert.Empty(reading.Outbox.List(MessageState.Sending));
    }

    private static IReadOnlyList<MessageOnRecord> Queued(Bench bench)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Outbox.List(MessageState.Queued);
    }

    private static async Task SendAsync(Bench bench, DeliveryOutcome outcome)
    {
        bench.Route.Letters.Clear();
        bench.Route.Answer = _ => new Delivery(outcome, "250 taken");
        bench.Time.Advance(TimeSpan.FromMinutes(1));
        await bench.Outbox.SendAllAsync(TestContext.Current.CancellationToken);
    }

    private static Task<Bench> BenchAsync(Delivery answer) => Bench.LivedAsync(Start, Today, answer);
}
