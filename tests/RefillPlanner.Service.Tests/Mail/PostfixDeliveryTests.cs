using System;
using System.Text;
using System.Threading.Tasks;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>A private Postfix on loopback takes the letter and puts it into a mailbox, where it is read back.</summary>
public sealed class PostfixDeliveryTests
{
    [Theory]
    [InlineData(Language.English, "It is time to arrange your next supply")]
    [InlineData(Language.Spanish, "Es hora de preparar su próximo pedido")]
    public async Task A_letter_arrives_as_it_was_written(Language language, string words)
    {
        Assert.SkipWhen(PrivatePostfix.WhyNot() is not null, PrivatePostfix.WhyNot() ?? string.Empty);
        using var server = new PrivatePostfix();
        await using (var route = new SmtpRoute(new MailSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.Plain }))
            Assert.Equal(DeliveryOutcome.Accepted, (await route.SendAsync(Letters.Letter(language), TestContext.Current.CancellationToken)).Outcome);

        var arrived = await server.ReadAsync(TestContext.Current.CancellationToken);
        var written = Letters.Letter(language);
        Assert.Equal(written.MessageId, arrived.MessageId);
        Assert.Equal(written.Subject, arrived.Subject);
        Assert.Equal("auto-generated", arrived.Headers["Auto-Submitted"]);
        Assert.Equal(written.Date, arrived.Date);
        Assert.Contains(words, arrived.TextBody, StringComparison.Ordinal);
        Assert.Equal(Lines(written.TextBody), Lines(arrived.TextBody));
        Assert.Equal(Lines(written.HtmlBody), Lines(arrived.HtmlBody));
    }

    [Fact]
    public async Task M11_The_report_of_a_real_server_names_the_message_and_the_reason()
    {
        Assert.SkipWhen(PrivatePostfix.WhyNot() is not null, PrivatePostfix.WhyNot() ?? string.Empty);
        using var server = new PrivatePostfix();
        var letter = MimeLetter.Of(Letters.Message() with { To = "marl@elsewhere.invalid" }, Letters.Site with { SenderEmail = "no-reply@example.net" }, new MailSettings());
        await using (var route = new SmtpRoute(new MailSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.Plain }))
            Assert.Equal(DeliveryOutcome.Accepted, (await route.SendAsync(letter, TestContext.Current.CancellationToken)).Outcome);

        var report = Encoding.UTF8.GetBytes(Letters.Bytes(await server.ReadAsync(TestContext.Current.CancellationToken)));
        var failure = Assert.IsType<ReturnedMail.Failure>(ReturnedMail.Read(report));
        Assert.Equal(letter.MessageId![..32], failure.Hash);
        Assert.Equal("Status 5.1.1; user unknown", failure.Detail);

        // Cut off anywhere, it is read or left, but never throws.
        for (var length = 0; length <= report.Length; length++)
            Assert.True(ReturnedMail.Read(report[..length]) is null or ReturnedMail.Failure);
    }

    private static string Lines(string? text) => text!.ReplaceLineEndings("\n").TrimEnd();
}
