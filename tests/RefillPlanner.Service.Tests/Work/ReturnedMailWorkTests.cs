using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Messages;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using RefillPlanner.Service.Settings;
using RefillPlanner.Service.Tests.Mail;
using RefillPlanner.Service.Work;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Work;

/// <summary>What arrived mail does to the record. Monday, March 2, 2026, 09:30 in New York.</summary>
public sealed class ReturnedMailWorkTests
{
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 14, 30, 0, TimeSpan.Zero);
    private static readonly LocalDate Today = new(2026, 3, 2);
    private static readonly Delivery Taken = new(DeliveryOutcome.Accepted, "250 taken");
    private static readonly Delivery Broken = new(DeliveryOutcome.Unknown, "broke after the final dot");

    private uint _uid;

    [Fact]
    public async Task M11_A_message_that_comes_back_later_is_bounced_and_on_the_staff_list()
    {
        using var bench = await BenchAsync(Taken);
        var notice = Notices(bench, MessageState.Accepted)[0];
        Assert.Equal(new Dealing(IsHandled: true, Bounced: 1, OptedOut: 0), Arrive(bench, Reports.About("failed", hash: Hash(notice), diagnosis: "Diagnostic-Code: smtp; 550 no such user\n")));

        var onRecord = Find(bench, notice);
        Assert.Equal((MessageState.Bounced, "Status 5.1.1; 550 no such user"), (onRecord.State, onRecord.Detail));
        using var reading = bench.Desk.Database.Read();
        Assert.Contains(reading.Outbox.ListNotAccepted(notice.Message.SiteId!, bench.Desk.Now - Duration.FromDays(1)), listed => listed.Key == notice.Message.Key);
        Assert.Equal("accepted", reading.Audit.ListAbout(AuditSubject.Message, notice.Message.Key.Text)[^1].Before);
    }

    [Fact]
    public async Task M11_A_message_of_which_nobody_knew_whether_it_went_is_bounced_by_a_report()
    {
        using var bench = await BenchAsync(Broken);
        var notice = Notices(bench, MessageState.Unknown)[0];
        Arrive(bench, Reports.Simple(Hash(notice)));
        Assert.Equal(MessageState.Bounced, Find(bench, notice).State);
        bench.Route.Letters.Clear();
        bench.Time.Advance(TimeSpan.FromHours(1));
        await bench.Rounds.SweepAsync(TestContext.Current.CancellationToken);
        Assert.DoesNotContain(bench.Route.Letters, letter => letter.MessageId == notice.Message.MessageId);
    }

    [Fact]
    public async Task M11_A_second_report_changes_nothing()
    {
        using var bench = await BenchAsync(Taken);
        var notice = Notices(bench, MessageState.Accepted)[0];
        Arrive(bench, Reports.About("failed", hash: Hash(notice)));
        var before = Find(bench, notice);
        Assert.Equal(new Dealing(IsHandled: true, Bounced: 0, OptedOut: 0), Arrive(bench, Reports.Simple(Hash(notice))));
        Assert.Equal((before.Detail, before.ChangedAt), (Find(bench, notice).Detail, Find(bench, notice).ChangedAt));
    }

    [Fact]
    public async Task M11_A_report_about_a_message_that_is_not_on_record_is_left()
    {
        using var bench = await BenchAsync(Taken);
        Assert.Equal(Dealing.Left, Arrive(bench, Reports.Simple()));
        Assert.Equal(new MailboxMark(7, 1), Mark(bench));
    }

    [Fact]
    public async Task M11_A_report_about_a_message_that_is_being_sent_is_read_again_on_the_next_visit()
    {
        using var bench = new Bench(Start);
        bench.ImportDemo(Today);
        Dealing? meanwhile = Dealing.Left;
        bench.Route.Answer = letter =>
        {
            meanwhile = Arrive(bench, Reports.Simple(letter.MessageId![..32]));
            return Taken;
        };
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        Assert.Null(meanwhile);
        Assert.Equal(new MailboxMark(0, 0), Mark(bench));
        Assert.Equal(1, Arrive(bench, Reports.Simple(Hash(Notices(bench, MessageState.Accepted)[0])))!.Bounced);
    }

    [Fact]
    public async Task M11_A_message_whose_record_is_damaged_is_left()
    {
        using var bench = await BenchAsync(Taken);
        var notice = Notices(bench, MessageState.Accepted)[0];
        bench.Damage($"UPDATE messages SET to_address = 'other@example.net' WHERE message_key = '{notice.Message.Key}';");
        Assert.Equal(Dealing.Left, Arrive(bench, Reports.Simple(Hash(notice))));
    }

    [Fact]
    public async Task M10_An_answer_with_STOP_opts_out_the_patient_of_that_message_today_and_only_once()
    {
        using var bench = await BenchAsync(Taken);
        var notice = Notices(bench, MessageState.Accepted)[0];
        Assert.Equal(new Dealing(IsHandled: true, Bounced: 0, OptedOut: 1), Arrive(bench, Reports.Mail($"Re: STOP {Hash(notice)}", from: "somebody.else@example.net")));

        var patient = Patient(bench, notice.Message.PatientId!);
        Assert.Equal(Today, patient.EmailOptedOutOn);
        Assert.False(patient.MayBeMailed);
        var row = Assert.Single(Audit(bench, patient.Id));
        Assert.Equal(("mailbox", null, "2026-03-02"), (row.By, row.Before, row.After));

        bench.Time.Advance(TimeSpan.FromDays(3));
        Assert.Equal(new Dealing(IsHandled: true, Bounced: 0, OptedOut: 0), Arrive(bench, Reports.Mail($"Re: STOP {Hash(notice)}")));
        Assert.Equal(Today, Patient(bench, patient.Id).EmailOptedOutOn);
        Assert.Single(Audit(bench, patient.Id));
    }

    [Fact]
    public async Task M10_A_patient_who_opted_out_by_mail_gets_no_letter_that_was_waiting()
    {
        using var bench = await BenchAsync(new Delivery(DeliveryOutcome.Deferred, "450 later"));
        var waiting = Notices(bench, MessageState.Queued)[0];
        Arrive(bench, Reports.Mail($"STOP {Hash(waiting)}"));
        bench.Route.Letters.Clear();
        bench.Route.Answer = _ => Taken;
        bench.Time.Advance(TimeSpan.FromHours(2));
        await bench.Rounds.SweepAsync(TestContext.Current.CancellationToken);
        Assert.DoesNotContain(bench.Route.Letters, letter => letter.MessageId == waiting.Message.MessageId);
        Assert.Equal(MessageState.Suppressed, Find(bench, waiting).State);
    }

    [Fact]
    public async Task M10_STOP_from_an_address_opts_out_every_patient_who_has_it_in_any_writing()
    {
        using var bench = await BenchAsync(Taken);
        Put(bench, "PT-101", patient => patient with { Email = "Family@Example.net", EmailAgreedOn = new LocalDate(2026, 1, 1) });
        Put(bench, "PT-102", patient => patient with { Email = "family@example.net", EmailAgreedOn = null });
        Assert.Equal(2, Arrive(bench, Reports.Mail("stop", from: "FAMILY@example.NET"))!.OptedOut);
        Assert.Equal([Today, Today], new[] { "PT-101", "PT-102" }.Select(id => Patient(bench, id).EmailOptedOutOn!.Value));
    }

    [Fact]
    public async Task M10_STOP_with_a_number_that_is_not_on_record_opts_out_by_address()
    {
        using var bench = await BenchAsync(Taken);
        Put(bench, "PT-101", patient => patient with { Email = "marl@example.net" });
        Assert.Equal(1, Arrive(bench, Reports.Mail($"STOP {Reports.Hash}"))!.OptedOut);
    }

    [Fact]
    public async Task M10_STOP_from_a_stranger_is_left()
    {
        using var bench = await BenchAsync(Taken);
        Assert.Equal(Dealing.Left, Arrive(bench, Reports.Mail("STOP", from: "stranger@example.com")));
    }

    [Fact]
    public async Task M10_STOP_to_a_letter_to_staff_about_a_patient_opts_out_nobody()
    {
        using var bench = await BenchAsync(Taken);
        var alert = List(bench, MessageState.Accepted).First(message => message.Message is { Kind: MessageKind.StepUpAlert, PatientId: not null });
        Assert.Equal(Dealing.Left, Arrive(bench, Reports.Mail($"STOP {Hash(alert)}", from: "pharmacist@example.com")));
    }

    [Theory]
    [InlineData("2026-02-28", "2026-03-01", "2026-03-02")] // agreed again after an old opt-out
    [InlineData(null, "2026-03-02", "2026-03-02")] // the same day the opt-out wins
    [InlineData(null, "2026-03-05", "2026-03-05")] // an agreement recorded ahead does not outlive it
    [InlineData("2026-02-28", "2026-02-28", "2026-02-28")] // opted out already
    public async Task M10_An_opt_out_counts_from_today_and_is_never_moved_back(string? optedOut, string agreed, string expected)
    {
        using var bench = await BenchAsync(Taken);
        Put(bench, "PT-101", patient => patient with { Email = "marl@example.net", EmailAgreedOn = Date(agreed), EmailOptedOutOn = optedOut is null ? null : Date(optedOut) });
        Arrive(bench, Reports.Mail("STOP"));
        Assert.Equal(Date(expected), Patient(bench, "PT-101").EmailOptedOutOn);
        Assert.False(Patient(bench, "PT-101").MayBeMailed);
    }

    [Fact]
    public async Task M11_Loops_end_here_whatever_comes_back_no_mail_goes_out()
    {
        using var bench = await BenchAsync(Taken);
        var notice = Notices(bench, MessageState.Accepted)[0];
        var own = Letters.Bytes(bench.Route.Letters.First(letter => letter.MessageId == notice.Message.MessageId));
        bench.Route.Letters.Clear();
        Assert.Equal(Dealing.Left, Arrive(bench, Reports.Mail($"Automatic reply: STOP {Hash(notice)}", headers: "Auto-Submitted: auto-replied\n")));
        Assert.Equal(Dealing.Left, Arrive(bench, own));
        Assert.Equal(Dealing.Left, Arrive(bench, Reports.Mail("Out of office", headers: "Precedence: bulk\n")));
        Assert.Equal(Dealing.Left, Arrive(bench, Reports.About("delayed", hash: Hash(notice))));
        Assert.Equal(1, Arrive(bench, Reports.Simple(Hash(notice)))!.Bounced);
        for (var minute = 0; minute < 60; minute++)
        {
            bench.Time.Advance(TimeSpan.FromMinutes(1));
            await bench.Rounds.SweepAsync(TestContext.Current.CancellationToken);
        }

        Assert.Empty(bench.Route.Letters);
        Assert.Null(Patient(bench, notice.Message.PatientId!).EmailOptedOutOn);
    }

    [Fact]
    public async Task M11_A_visit_to_a_real_mailbox_acts_on_new_mail_once_and_marks_it_read()
    {
        Assert.SkipWhen(PrivateDovecot.WhyNot() is not null, PrivateDovecot.WhyNot() ?? string.Empty);
        using var server = new PrivateDovecot();
        using var bench = await BenchAsync(Taken);
        var notices = Notices(bench, MessageState.Accepted);
        server.Put(Reports.Bytes(Reports.Mail("May I come on Monday?")), Start);
        server.Put(Reports.Bytes(Reports.Simple(Hash(notices[0]))), Start);
        server.Put(Reports.Bytes(Reports.Mail($"STOP {Hash(notices[1])}")), Start);
        server.Put(new byte[3000], Start);

        var work = Work(bench, new MailboxSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.Plain, User = "staff", PasswordFile = server.PasswordFile });
        Assert.Equal(new MailboxRound(4, 1, 1, Failure: null), await work.ReadAsync(TestContext.Current.CancellationToken));
        Assert.Equal([2, 3], server.ListSeen());
        Assert.Equal(4, server.Count);
        Assert.Equal(MessageState.Bounced, Find(bench, notices[0]).State);
        Assert.Equal(Today, Patient(bench, notices[1].Message.PatientId!).EmailOptedOutOn);

        bench.Time.Advance(TimeSpan.FromMinutes(5));
        Assert.Equal(new MailboxRound(0, 0, 0, Failure: null), await work.ReadAsync(TestContext.Current.CancellationToken));
        using var reading = bench.Desk.Database.Read();
        Assert.Equal(bench.Desk.Now, reading.Mailbox.FindReadAt());
    }

    [Fact]
    public async Task M11_A_mailbox_that_is_away_is_told_by_its_kind_and_nothing_is_thrown()
    {
        using var bench = await BenchAsync(Taken);
        using var server = new ScriptedImap(_ => null);
        var round = await Work(bench, new MailboxSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.Plain, User = "staff" }).ReadAsync(TestContext.Current.CancellationToken);
        Assert.Equal("ImapProtocolException", round.Failure);
        using var reading = bench.Desk.Database.Read();
        Assert.Null(reading.Mailbox.FindReadAt());
    }

    private static ReturnedMailWork Work(Bench bench, MailboxSettings mailbox) => new(bench.Desk with { Settings = new PlannerSettings { Mailbox = mailbox } });

    private static async Task<Bench> BenchAsync(Delivery answer)
    {
        var bench = new Bench(Start);
        bench.Route.Answer = _ => answer;
        bench.ImportDemo(Today);
        await bench.Rounds.CatchUpAsync(TestContext.Current.CancellationToken);
        return bench;
    }

    private Dealing? Arrive(Bench bench, string mail) => new ReturnedMailWork(bench.Desk).Apply(new ArrivedMail(new MailboxMark(7, ++_uid), Reports.Bytes(mail)));

    private static string Hash(MessageOnRecord message) => message.Message.MessageId[..32];

    private static LocalDate Date(string text) => NodaTime.Text.LocalDatePattern.Iso.Parse(text).Value;

    private static List<MessageOnRecord> Notices(Bench bench, MessageState state) => [.. List(bench, state).Where(message => message.Message.Kind == MessageKind.PatientNotice)];

    private static IReadOnlyList<MessageOnRecord> List(Bench bench, MessageState state)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Outbox.List(state);
    }

    private static MessageOnRecord Find(Bench bench, MessageOnRecord message)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Outbox.Find(message.Message.Key)!;
    }

    private static MailboxMark Mark(Bench bench)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Mailbox.FindMark();
    }

    private static Patient Patient(Bench bench, string id)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Ledger.FindPatient(id)!;
    }

    private static IReadOnlyList<AuditRow> Audit(Bench bench, string patientId)
    {
        using var reading = bench.Desk.Database.Read();
        return reading.Audit.ListAbout(AuditSubject.Patient, patientId);
    }

    private static void Put(Bench bench, string id, Func<Patient, Patient> change)
    {
        using var transaction = bench.Desk.Database.Begin();
        transaction.Ledger.Put(change(transaction.Ledger.FindPatient(id)!));
        transaction.Commit();
    }
}
