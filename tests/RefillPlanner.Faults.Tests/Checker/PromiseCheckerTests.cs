using System;
using System.Collections.Generic;
using System.Linq;
using NodaTime;
using RefillPlanner.Faults.Tests.Harness;
using Xunit;

namespace RefillPlanner.Faults.Tests.Checker;

/// <summary>A good run, spoiled in one way each time: the checker must name that and nothing else.</summary>
public sealed class PromiseCheckerTests(GoodRun good) : IClassFixture<GoodRun>
{
    // The audit says that it is never changed, and the database that facts are not either: somebody who spoils them takes that out first.
    private const string Unlock = "PRAGMA foreign_keys = OFF; DROP TRIGGER audit_is_never_edited; DROP TRIGGER audit_is_never_deleted; DROP TRIGGER facts_are_never_edited; DROP TRIGGER facts_are_never_deleted;";

    [Fact]
    public void Nothing_is_wrong_with_a_good_run()
    {
        Assert.Empty(PromiseChecker.Run(good.Evidence));
        Assert.NotEmpty(good.Evidence.Ambiguous);
        Assert.NotEmpty(good.Evidence.Acknowledged);
        Assert.NotEmpty(good.Evidence.Listed);
    }

    [Fact]
    public void Statement_1_sees_a_message_that_was_lost_before_it_was_sent() =>
        Names("(1)", good.Spoil("DELETE FROM letters WHERE message_key LIKE 'patient-notice/PT-LAPSED%'; DELETE FROM messages WHERE patient_id = 'PT-LAPSED';"), "no message says so");

    [Fact]
    public void Statement_1_sees_a_task_that_was_forgotten() =>
        Names("(1)", good.Evidence with { EndedAt = Pharmacy.At(60, 12), Listed = AllNotAccepted() }, "still planned");

    [Fact]
    public void Statement_1_sees_a_message_that_the_program_has_as_accepted_and_the_server_never_had() =>
        Names("(1)", good.Evidence with { Mails = [.. good.Evidence.Mails.Where(mail => mail.MessageId != Notice().MessageId)] }, "never had it");

    [Fact]
    public void Statement_1_sees_a_message_that_hangs_in_between() =>
        Names("(1)", WithMessage(message => message with { State = "sending" }), "still being sent", alsoNames: "(6)");

    [Fact]
    public void Statement_1_sees_a_message_that_waits_beyond_its_time() =>
        Names("(1)", WithMessage(message => message with { State = "queued", ExpiresAt = good.Evidence.EndedAt }), "still queued", alsoNames: "(6)");

    [Fact]
    public void Statement_2_sees_a_message_that_is_not_on_the_list() =>
        Names("(2)", good.Evidence with { Listed = new HashSet<string>() }, "not on the list");

    [Fact]
    public void Statement_2_sees_a_mail_that_is_not_on_record() =>
        Names("(2)", good.Evidence with { Mails = [.. good.Evidence.Mails, Notice() with { MessageId = "made-up@example.org" }] }, "not on record");

    [Fact]
    public void Statement_3_sees_one_copy_too_many() =>
        Names("(3)", good.Evidence with { Mails = [.. good.Evidence.Mails, good.Evidence.Mails.First(mail => !good.Evidence.Ambiguous.Contains(mail.MessageId))] }, "taken 2 times");

    [Fact]
    public void Statement_3_sees_a_third_copy_where_one_is_allowed() =>
        Names("(3)", good.Evidence with { Mails = [.. good.Evidence.Mails, good.Evidence.Mails.First(mail => good.Evidence.Ambiguous.Contains(mail.MessageId))] }, "taken 3 times");

    [Theory]
    [InlineData("opted-out", "opted out")]
    [InlineData("not-agreed", "did not agree")]
    [InlineData("moved", "moved")]
    [InlineData("deceased", "deceased")]
    [InlineData("in-care", "in-care")]
    [InlineData("lapsed", "lapsed")]
    [InlineData("ended", "the course has ended")]
    public void Statement_4_sees_a_mail_to_somebody_to_whom_none_may_go(string kind, string why) =>
        Names("(4)", WithNotice(mail => mail with { To = FaultRoster.AddressOf(kind) }), why);

    [Theory]
    [InlineData(8, 59)]
    [InlineData(19, 0)]
    [InlineData(23, 30)]
    public void Statement_5_sees_a_mail_to_a_patient_outside_the_window(int hour, int minute) =>
        Names("(5)", WithNotice(mail => mail with { At = (FaultRoster.Today + new LocalTime(hour, minute)).InZoneStrictly(DateTimeZoneProviders.Tzdb["America/New_York"]).ToInstant() }), "a mail went to");

    [Theory]
    [InlineData("DELETE FROM audit WHERE audit_id = 3;", "row 4 follows row 2")]
    [InlineData("DELETE FROM audit WHERE audit_id = 1;", "row 2 follows row 0")]
    [InlineData("UPDATE audit SET by = 'somebody else' WHERE audit_id = 5;", "row 5")]
    [InlineData("UPDATE audit SET note = '' WHERE audit_id = 5;", "row 5")]
    [InlineData("UPDATE audit SET hash = zeroblob(32) WHERE audit_id = 5;", "row 5")]
    [InlineData("DELETE FROM audit WHERE audit_id = (SELECT max(audit_id) FROM audit WHERE what = 'message');", "the audit has it")]
    public void Statement_6_sees_a_change_of_the_audit(string sql, string words) => Names("(6)", good.Spoil(Unlock + sql), words);

    [Fact]
    public void Statement_7_sees_a_fact_that_was_acknowledged_and_is_gone() =>
        Names("(7)", good.Spoil(Unlock + "DELETE FROM facts WHERE fact_id = 'SA-1';"), "fact SA-1");

    [Theory]
    [InlineData("wrote to Canary@Example.net")]
    [InlineData("patient Zzyqx C. cannot be planned")]
    [InlineData("no stock of canaricillin-test")]
    public void Statement_8_sees_a_word_that_must_not_be_in_a_log(string line) =>
        Names("(8)", good.Evidence with { Said = [.. good.Evidence.Said, ("the log", line)] }, "stands in the log");

    [Fact]
    public void Statement_8_sees_a_word_that_must_not_be_in_a_subject() =>
        Names("(8)", WithNotice(mail => mail with { Subject = "Your canaricillin" }), "the subject of a mail");

    private static void Names(string statement, Evidence spoiled, string words, string? alsoNames = null)
    {
        var broken = PromiseChecker.Run(spoiled);
        Assert.Contains(broken, text => text.StartsWith(statement, StringComparison.Ordinal) && text.Contains(words, StringComparison.Ordinal));
        Assert.All(broken, text => Assert.True(text.StartsWith(statement, StringComparison.Ordinal) || (alsoNames is not null && text.StartsWith(alsoNames, StringComparison.Ordinal)), text));
    }

    private TakenMail Notice() => good.Evidence.Mails.Last(mail => mail.To == "canary@example.net");

    private Evidence WithNotice(Func<TakenMail, TakenMail> change) => good.Evidence with { Mails = [.. good.Evidence.Mails.Select(mail => ReferenceEquals(mail, Notice()) ? change(mail) : mail)] };

    private Evidence WithMessage(Func<MessageRow, MessageRow> change) =>
        good.Evidence with { Record = good.Evidence.Record with { Messages = [.. good.Evidence.Record.Messages.Select(message => message.MessageId == Notice().MessageId ? change(message) : message)] } };

    private HashSet<string> AllNotAccepted() => [.. good.Evidence.Record.Messages.Where(message => message.State != "accepted").Select(message => message.Key)];
}
