using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using MimeKit;
using NodaTime;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

public sealed class MailTests
{
    [Fact]
    public void The_same_message_gives_the_same_bytes() => Assert.Equal(Letters.Bytes(Letters.Letter()), Letters.Bytes(Letters.Letter()));

    [Fact]
    public void A_letter_says_that_a_program_wrote_it_and_whom_to_answer()
    {
        var letter = Letters.Letter();

        // Auto-Submitted: RFC 3834. List-Unsubscribe by mailto only: no address of a page is configured (RFC 8058 asks for https).
        Assert.Equal("auto-generated", letter.Headers["Auto-Submitted"]);
        Assert.Equal($"<mailto:staff@example.org?subject=STOP%20{letter.MessageId![..32]}>", letter.Headers["List-Unsubscribe"]);
        Assert.Equal("staff@example.org", letter.ReplyTo.Mailboxes.Single().Address);
        Assert.EndsWith("@example.org", letter.MessageId, StringComparison.Ordinal);
        Assert.Equal(Letters.Now.ToDateTimeOffset(), letter.Date);
        Assert.NotNull(letter.TextBody);
        Assert.Contains("lang=\"en-US\"", letter.HtmlBody, StringComparison.Ordinal);
    }

    [Fact]
    public void A_patient_reads_two_different_dates_for_an_open_container()
    {
        var text = Letters.Letter().TextBody;
        Assert.Contains("last day of use is Sunday, March 8. Throw away what is left on Monday, March 9", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Spanish_dates_are_written_out()
    {
        var text = Letters.Letter(Language.Spanish).TextBody!;
        Assert.Contains("antes del viernes, 6 de marzo", text, StringComparison.Ordinal);
        Assert.Contains("Lo que le dijo su farmacéutico".ToUpperInvariant(), text.ToUpperInvariant(), StringComparison.Ordinal);
    }

    [Fact]
    public void Of_two_refills_in_one_mail_the_earlier_date_is_said()
    {
        var notice = Letters.Notice(Language.English).WithRefill(new LocalDate(2026, 3, 4), Handover.Pickup, Letters.Today).WithRefill(new LocalDate(2026, 3, 11), Handover.Pickup, Letters.Today);
        Assert.Equal("Wednesday, March 4", notice.RefillBy);
    }

    [Fact]
    public void A_name_with_markup_is_shown_and_not_obeyed()
    {
        var patient = Letters.Patient(Language.English) with { Name = "<b>Marl</b>" };
        var message = new MailComposer(new MailTemplates(), new MailSettings()).Compose(Core.Messages.PatientNotice.Of(patient, Letters.Site), patient, Letters.Site, [], Letters.Today, Letters.Now);
        Assert.Contains("&lt;b&gt;Marl&lt;/b&gt;", message.Html, StringComparison.Ordinal);
        Assert.Contains("<b>Marl</b>", message.Text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_template_that_asks_for_what_is_not_there_throws_and_nothing_is_sent()
    {
        var templates = new MailTemplates(new Dictionary<string, string> { ["broken.txt"] = "{{ notice.dose }}" });
        Assert.ThrowsAny<Exception>(() => templates.Render("broken.txt", "notice", Letters.Notice(Language.English)));
    }

    [Fact]
    public void A_template_that_cannot_be_read_is_refused_by_name() =>
        Assert.Contains("broken.txt", Assert.Throws<FormatException>(() => new MailTemplates(new Dictionary<string, string> { ["broken.txt"] = "{% if %}" })).Message, StringComparison.Ordinal);

    [Fact]
    public async Task A_letter_dropped_twice_is_one_file()
    {
        var folder = Directory.CreateTempSubdirectory("refill-planner-tests-");
        await using var route = new DropFolder(folder.FullName);
        await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken);
        await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken);
        var file = Assert.Single(folder.GetFiles());
        Assert.Equal(".eml", file.Extension);
        Assert.Equal("marl@example.net", (await MimeMessage.LoadAsync(file.FullName, TestContext.Current.CancellationToken)).To.Mailboxes.Single().Address);
        folder.Delete(recursive: true);
    }

    [Theory]
    [InlineData("RCPT", "550 no such user", DeliveryOutcome.Refused)]
    [InlineData("RCPT", "450 come again later", DeliveryOutcome.Deferred)]
    [InlineData("MAIL", "452 too much", DeliveryOutcome.Deferred)]
    [InlineData("MESSAGE", "554 not wanted", DeliveryOutcome.Refused)]
    [InlineData("MESSAGE", "451 later", DeliveryOutcome.Deferred)]
    [InlineData("GREETING", "421 busy", DeliveryOutcome.Deferred)]
    [InlineData("GREETING", null, DeliveryOutcome.Deferred)]
    [InlineData("MAIL", null, DeliveryOutcome.Deferred)]
    [InlineData("MESSAGE", null, DeliveryOutcome.Unknown)]
    [InlineData("nothing", null, DeliveryOutcome.Accepted)]
    public async Task What_the_server_answers_decides_what_to_do_next(string at, string? reply, DeliveryOutcome expected)
    {
        using var server = new ScriptedServer(moment => moment.Phase != at ? null : reply ?? Reply.Close);
        await using var route = new SmtpRoute(new MailSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.Plain });
        Assert.Equal(expected, (await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken)).Outcome);
    }

    [Fact]
    public async Task One_connection_carries_many_letters()
    {
        using var server = new ScriptedServer();
        await using var route = new SmtpRoute(new MailSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.Plain });
        for (var letter = 0; letter < 5; letter++)
            Assert.Equal(DeliveryOutcome.Accepted, (await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken)).Outcome);
        Assert.Equal((1, 5), (server.Connections, server.Letters.Count));
    }

    [Fact]
    public async Task A_server_without_STARTTLS_gets_nothing()
    {
        using var server = new ScriptedServer();
        await using var route = new SmtpRoute(new MailSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.StartTls });
        Assert.Equal(DeliveryOutcome.Deferred, (await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken)).Outcome);
        Assert.Empty(server.Letters);
    }

    [Fact]
    public void Clear_text_to_another_machine_is_refused() =>
        Assert.Throws<ArgumentException>(() => new SmtpRoute(new MailSettings { Host = "mail.example.org", Security = MailSecurity.Plain }));
}
