using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Threading.Tasks;
using MimeKit;
using NodaTime;
using RefillPlanner.Core.Ledger;
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
        Assert.Contains("a más tardar el viernes, 6 de marzo", text, StringComparison.Ordinal);
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
    public void M9_A_template_that_asks_for_what_is_not_there_throws_and_nothing_is_sent()
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

    [Fact]
    public async Task A_folder_that_cannot_be_written_is_away_and_the_letter_stays()
    {
        var file = Path.GetTempFileName();
        await using var route = new DropFolder(file);
        var delivery = await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken);
        Assert.Equal(DeliveryOutcome.ServerAway, delivery.Outcome);
        Assert.StartsWith($"{file} cannot be written", delivery.Detail, StringComparison.Ordinal);
        File.Delete(file);
    }

    [Fact]
    public void Mail_without_a_server_takes_one_route_and_with_one_four()
    {
        Assert.Equal(1, MailRoutes.Of(new MailSettings(), "mail", TimeProvider.System).Most);
        Assert.Equal(4, MailRoutes.Of(new MailSettings { Host = "mail.example.org" }, "mail", TimeProvider.System).Most);
        Assert.IsType<DropFolder>(MailRoutes.Of(new MailSettings(), "mail", TimeProvider.System).Open());
        Assert.IsType<SmtpRoute>(MailRoutes.Of(new MailSettings { Host = "mail.example.org" }, "mail", TimeProvider.System).Open());
    }
}
