using System;
using System.Linq;
using System.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>What an arrived mail asks, from its bytes alone.</summary>
public sealed class ReturnedMailTests
{
    [Fact]
    public void M11_A_report_of_failure_names_the_message_and_the_reason() =>
        Assert.Equal(new ReturnedMail.Failure(Reports.Hash, "Status 4.0.0; 426 connection timed out"), Read(Reports.Simple()));

    [Fact]
    public void M11_Of_several_recipients_the_one_that_failed_is_told_and_headers_are_enough() =>
        Assert.Equal(new ReturnedMail.Failure(Reports.Hash, "Status 5.0.0; 550 'arathib@vnet.IBM.COM' is not a registered gateway user"), Read(Reports.Several()));

    [Theory]
    [InlineData(Reports.Hash)]
    [InlineData("0123456789ABCDEF0123456789ABCDEF")]
    [InlineData("0123456789abcdef0123456789abcdef@example.org")]
    public void M11_A_report_without_the_message_is_matched_by_the_envelope_id(string envelopeId) =>
        Assert.Equal(new ReturnedMail.Failure(Reports.Hash, "Status 5.0.0"), Read(Reports.Gateway(envelopeId)));

    [Theory]
    [InlineData(null)]
    [InlineData("QQ314159")]
    public void M11_A_report_that_names_no_message_of_ours_is_left(string? envelopeId) => Assert.Null(Read(Reports.Gateway(envelopeId)));

    [Fact]
    public void M11_A_report_about_somebody_elses_message_is_left_whatever_its_envelope_id() =>
        Assert.Null(Read(Reports.Simple("199407022110.RAA14128").Replace("Reporting-MTA", $"Original-Envelope-Id: {Reports.Hash}\nReporting-MTA", StringComparison.Ordinal)));

    [Theory]
    [InlineData("delayed")]
    [InlineData("delivered")]
    [InlineData("relayed")]
    [InlineData("expanded")]
    [InlineData("failedish")]
    [InlineData("")]
    public void M11_A_report_of_anything_but_failure_asks_for_nothing(string action) => Assert.Null(Read(Reports.About(action)));

    [Theory]
    [InlineData("failed")]
    [InlineData("Failed")]
    [InlineData("FAILED (for good)")]
    public void M11_Failure_is_read_in_any_writing(string action) => Assert.IsType<ReturnedMail.Failure>(Read(Reports.About(action)));

    [Theory]
    [InlineData("message/rfc822")]
    [InlineData("text/rfc822-headers")]
    [InlineData("message/global")] // RFC 6533, sections 4 and 5: the same for addresses with other letters
    [InlineData("message/global-headers")]
    public void M11_The_message_may_come_back_in_any_of_the_forms(string original) => Assert.Equal(Reports.Hash, Assert.IsType<ReturnedMail.Failure>(Read(Reports.About("failed", original: original))).Hash);

    [Fact]
    public void M11_A_report_for_addresses_with_other_letters_is_read() => // RFC 6533, section 3
        Assert.IsType<ReturnedMail.Failure>(Read(Reports.Simple().Replace("message/delivery-status", "message/global-delivery-status", StringComparison.Ordinal)));

    [Fact]
    public void M11_A_report_without_status_still_says_that_it_failed() =>
        Assert.Equal("Not delivered", Assert.IsType<ReturnedMail.Failure>(Read(Reports.About("failed", status: string.Empty))).Detail);

    [Fact]
    public void M11_The_detail_is_one_line_of_300_characters_without_what_is_not_seen()
    {
        var diagnosis = $"Diagnostic-Code: smtp; 550 \u001b[31mno\u202e such\tuser\n {new string('x', 5000)}\n";
        var detail = Assert.IsType<ReturnedMail.Failure>(Read(Reports.About("failed", diagnosis: diagnosis))).Detail;
        Assert.StartsWith("Status 5.1.1; 550 [31mno such user xxx", detail, StringComparison.Ordinal);
        Assert.Equal(300, detail.Length);
        Assert.DoesNotContain(detail, char.IsControl);
    }

    [Theory]
    [InlineData("report-type=disposition-notification")] // RFC 8098: a receipt
    [InlineData("report-type=feedback-report")] // RFC 5965: a complaint
    public void M11_Other_reports_are_left(string type) => Assert.Null(Read(Reports.Simple().Replace("report-type=delivery-status", type, StringComparison.Ordinal)));

    [Fact]
    public void M11_A_report_that_somebody_forwards_is_no_report() => // RFC 3464, section 2: it is the top of its mail
        Assert.Null(Read($"""
            From: marl@example.net
            Subject: Fwd: Returned mail
            MIME-Version: 1.0
            Content-Type: multipart/mixed; boundary="outer"

            --outer
            Content-Type: message/rfc822

            {Reports.Simple()}
            --outer--
            """));

    [Theory]
    [InlineData("STOP " + Reports.Hash)]
    [InlineData("Re: STOP " + Reports.Hash)]
    [InlineData("stop " + Reports.Hash)]
    [InlineData("RV: Baja, " + Reports.Hash + ".")]
    [InlineData("=?utf-8?B?U1RPUCAwMTIzNDU2Nzg5YWJjZGVmMDEyMzQ1Njc4OWFiY2RlZg==?=")]
    public void M10_A_subject_with_STOP_and_our_number_opts_out(string subject) =>
        Assert.Equal(new ReturnedMail.OptOut(Reports.Hash, "marl@example.net"), Read(Reports.Mail(subject)));

    [Theory]
    [InlineData("STOP")]
    [InlineData("Stop")]
    [InlineData("\"stop!\"")]
    [InlineData("Re: Re: STOP")]
    [InlineData("unsubscribe")]
    [InlineData("Please STOP these mails")]
    [InlineData("ALTO")]
    [InlineData("baja")]
    [InlineData("STOP 12345")]
    public void M10_A_subject_with_STOP_alone_opts_out_by_address(string subject) =>
        Assert.Equal(new ReturnedMail.OptOut(null, "marl@example.net"), Read(Reports.Mail(subject)));

    [Theory]
    [InlineData("")]
    [InlineData("Should I stop before surgery?")]
    [InlineData("Stop date of my pen")]
    [InlineData("Tengo la presión baja")]
    [InlineData("AZUCAR ALTO")]
    [InlineData("NON-STOP pain")]
    [InlineData("STOPPED")]
    [InlineData("Re: A note from Lantern Hollow Pharmacy")]
    [InlineData("Thanks " + Reports.Hash)]
    public void M10_A_subject_that_asks_for_something_else_is_left_for_a_person(string subject) => Assert.Null(Read(Reports.Mail(subject)));

    [Theory]
    [InlineData("Auto-Submitted: auto-replied\n")]
    [InlineData("Auto-Submitted: auto-generated; owner-email=\"marl@example.net\"\n")]
    [InlineData("auto-submitted: Auto-Notified (by a program)\n")]
    [InlineData("Precedence: bulk\n")]
    [InlineData("Precedence: auto_reply\n")]
    [InlineData("Precedence: list\n")]
    [InlineData("X-Auto-Response-Suppress: All\n")]
    public void M11_STOP_in_an_automatic_answer_does_not_opt_out(string headers) =>
        Assert.Null(Read(Reports.Mail("Automatic reply: STOP " + Reports.Hash, headers: headers)));

    [Fact]
    public void M11_STOP_in_a_mail_that_must_not_be_answered_does_not_opt_out() => // RFC 5321, section 4.5.5
        Assert.Null(Read(Reports.Mail("STOP").Replace("Return-Path: <marl@example.net>", "Return-Path: <>", StringComparison.Ordinal)));

    [Theory]
    [InlineData("Auto-Submitted: no\n")]
    [InlineData("Auto-Submitted: no (a person)\n")]
    [InlineData("Precedence: first-class\n")]
    public void M10_A_person_whose_mail_says_that_it_is_not_automatic_opts_out(string headers) => Assert.IsType<ReturnedMail.OptOut>(Read(Reports.Mail("STOP", headers: headers)));

    // One mail program marks it so: sisimai/set-of-emails, maildir/bsd/arf-26.eml.
    [Theory]
    [InlineData("STOP " + Reports.Hash, Reports.Hash)]
    [InlineData("", null)]
    public void M10_A_person_who_pressed_Unsubscribe_opts_out_although_it_calls_itself_automatic(string subject, string? hash) =>
        Assert.Equal(new ReturnedMail.OptOut(hash, "marl@example.net"), Read(Reports.Mail(subject, headers: "Auto-Submitted: auto-replied\nX-Apple-Unsubscribe: true\n")));

    [Fact]
    public void M10_A_mail_of_two_senders_names_no_address() => Assert.Null(Read(Reports.Mail("STOP", from: "marl@example.net, tess@example.net")));

    [Fact]
    public void M11_Our_own_letter_that_comes_back_as_it_was_asks_for_nothing() => Assert.Null(Read(Letters.Bytes(Letters.Letter(Language.Spanish))));

    [Fact]
    public void M11_What_cannot_be_read_is_left()
    {
        Assert.Null(ReturnedMail.Read([]));
        Assert.Null(ReturnedMail.Read(new byte[100_000]));
        Assert.Null(ReturnedMail.Read([.. Enumerable.Range(0, 100_000).Select(place => (byte)(place * 7919 >> 3))]));
        Assert.Null(Read(string.Concat(Enumerable.Repeat("Subject: STOP and on\r\n", 50_000))));
        Assert.Null(Read($"Subject: {new string('(', 4_000_000)}\r\n\r\n"));
        Assert.Null(Read($"Subject: STOP\r\nFrom: {new string('(', 500_000)}\r\n\r\n"));
        Assert.Null(Read("Content-Type: multipart/report; report-type=delivery-status\r\n\r\nno boundary"));
        Assert.Null(Read(Reports.Mail("=?no-such-charset?Q?STOP=FF=FE?=").Replace("charset=utf-8", "charset=\"\"", StringComparison.Ordinal)));
    }

    [Fact]
    public void M11_Parts_within_parts_ten_thousand_deep_are_left()
    {
        var text = new StringBuilder("Subject: nested\r\nMIME-Version: 1.0\r\n");
        for (var depth = 0; depth < 10_000; depth++)
            text.Append("Content-Type: multipart/report; report-type=delivery-status; boundary=\"b").Append(depth).Append("\"\r\n\r\n--b").Append(depth).Append("\r\n");
        Assert.Null(Read(text.ToString()));
    }

    [Fact]
    public void M11_A_report_cut_off_anywhere_is_read_or_left_but_never_throws()
    {
        foreach (var whole in new[] { Reports.Simple(), Reports.Several(), Reports.Gateway(Reports.Hash), Reports.Mail("STOP " + Reports.Hash) }.Select(Reports.Bytes))
        {
            for (var length = 0; length <= whole.Length; length++)
                Assert.True(ReturnedMail.Read(whole[..length]) is null or ReturnedMail.Failure { Hash: Reports.Hash } or ReturnedMail.OptOut);
        }
    }

    [Fact]
    public void M11_A_report_with_any_one_byte_changed_never_throws()
    {
        var whole = Reports.Bytes(Reports.Simple());
        foreach (var wrong in new byte[] { 0, (byte)'\n', (byte)':', (byte)'=', (byte)'(', 0xFF })
        {
            for (var place = 0; place < whole.Length; place++)
            {
                var changed = (byte[])whole.Clone();
                changed[place] = wrong;
                Assert.True(ReturnedMail.Read(changed) is null or ReturnedMail.Failure { Detail.Length: <= 300 });
            }
        }
    }

    private static ReturnedMail? Read(string text) => ReturnedMail.Read(Reports.Bytes(text));
}
