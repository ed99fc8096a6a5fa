using System;
using System.IO;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using System.Threading.Tasks;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>A private Postfix on loopback takes the letter and puts it into a mailbox, where it is read back; or it is not what it should be, and gets nothing.</summary>
public sealed class PostfixDeliveryTests : IDisposable
{
    private const string User = "planner";
    private const string Password = "a long pass word";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-tests-");
    private readonly TestAuthority _authority = new();

    [Theory]
    [InlineData(Language.English, "It is time to arrange your next supply")]
    [InlineData(Language.Spanish, "Es hora de preparar su próximo pedido")]
    public async Task A_letter_arrives_as_it_was_written(Language language, string words)
    {
        SkipWithoutPostfix(withLogin: false);
        using var server = new PrivatePostfix();
        await using (var route = new SmtpRoute(new MailSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.Plain }, TimeProvider.System))
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
        Assert.SkipWhen(PrivatePostfix.WhyNot(withLogin: false) is not null, PrivatePostfix.WhyNot(withLogin: false) ?? string.Empty);
        using var server = new PrivatePostfix();
        var letter = MimeLetter.Find(Letters.Message() with { To = "marl@elsewhere.invalid" }, Letters.Site with { SenderEmail = "no-reply@example.net" }, new MailSettings())!;
        await using (var route = new SmtpRoute(new MailSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.Plain }, TimeProvider.System))
            Assert.Equal(DeliveryOutcome.Accepted, (await route.SendAsync(letter, TestContext.Current.CancellationToken)).Outcome);

        var report = Encoding.UTF8.GetBytes(Letters.Bytes(await server.ReadAsync(TestContext.Current.CancellationToken)));
        var failure = Assert.IsType<ReturnedMail.Failure>(ReturnedMail.Read(report));
        Assert.Equal(letter.MessageId![..32], failure.Hash);
        Assert.Equal("Status 5.1.1; user unknown", failure.Detail);

        // Cut off anywhere, it is read or left, but never throws.
        for (var length = 0; length <= report.Length; length++)
            Assert.True(ReturnedMail.Read(report[..length]) is null or ReturnedMail.Failure);
    }

    [Fact]
    public async Task M7_A_letter_under_STARTTLS_and_a_login_arrives()
    {
        SkipWithoutPostfix(withLogin: true);
        using var certificate = _authority.Right();
        using var server = new PrivatePostfix(new PostfixOptions { Certificate = certificate, IsTlsDemanded = true, Account = (User, Password) });
        Assert.Equal(DeliveryOutcome.Accepted, (await SendAsync(server)).Outcome);
        var arrived = await server.ReadAsync(TestContext.Current.CancellationToken);
        Assert.Equal(Letters.Letter().MessageId, arrived.MessageId);
        Assert.Contains("client=", server.Log, StringComparison.Ordinal);
        Assert.Contains("ESMTPSA", arrived.Headers["Received"], StringComparison.Ordinal); // RFC 3848: under TLS, logged in
    }

    [Theory]
    [InlineData("another name", "STARTTLS: the server's certificate is not for localhost")]
    [InlineData("expired", "STARTTLS: the server's certificate is not valid now")]
    [InlineData("another root", "STARTTLS: the server's certificate is not signed by the authority in ")]
    public async Task M8_A_Postfix_with_a_wrong_certificate_gets_nothing(string wrong, string reason)
    {
        SkipWithoutPostfix(withLogin: false);
        using var other = new TestAuthority();
        using var certificate = wrong switch { "another name" => _authority.WrongName(), "expired" => _authority.Expired(), _ => other.Right() };
        using var server = new PrivatePostfix(new PostfixOptions { Certificate = certificate });
        await AssertRefusedAsync(server, Password, reason);
    }

    [Fact]
    public async Task M7_A_Postfix_without_STARTTLS_gets_nothing()
    {
        SkipWithoutPostfix(withLogin: false);
        using var server = new PrivatePostfix();
        await AssertRefusedAsync(server, Password, "EHLO: The SMTP server does not support the STARTTLS extension");
    }

    [Fact]
    public async Task M8_A_wrong_password_is_for_a_person_to_mend()
    {
        SkipWithoutPostfix(withLogin: true);
        using var certificate = _authority.Right();
        using var server = new PrivatePostfix(new PostfixOptions { Certificate = certificate, IsTlsDemanded = true, Account = (User, Password) });
        await AssertRefusedAsync(server, "another word", "AUTH: 535 5.7.8 ");
    }

    [Fact]
    public async Task A_probe_of_a_Postfix_logs_in_and_sends_nothing()
    {
        SkipWithoutPostfix(withLogin: true);
        using var certificate = _authority.Right();
        using var server = new PrivatePostfix(new PostfixOptions { Certificate = certificate, IsTlsDemanded = true, Account = (User, Password) });
        var result = await SmtpProbe.RunAsync(Settings(server, Password), TimeProvider.System, TestContext.Current.CancellationToken);
        Assert.Equal((DeliveryOutcome.Accepted, "the server answers"), (result.Outcome, result.Detail));
        Assert.Equal(certificate.NotAfter.ToUniversalTime(), result.CertificateNotAfter!.Value.ToDateTimeUtc());
        Assert.DoesNotContain("client=", server.Log, StringComparison.Ordinal); // Postfix logs a client when it has taken a recipient
    }

    public void Dispose()
    {
        _authority.Dispose();
        _folder.Delete(recursive: true);
    }

    private static void SkipWithoutPostfix(bool withLogin) => Assert.SkipWhen(PrivatePostfix.WhyNot(withLogin) is not null, PrivatePostfix.WhyNot(withLogin) ?? string.Empty);

    private static string Lines(string? text) => text!.ReplaceLineEndings("\n").TrimEnd();

    private async Task AssertRefusedAsync(PrivatePostfix server, string password, string reason)
    {
        var refused = await SendAsync(server, password);
        Assert.Equal(DeliveryOutcome.AccountRefused, refused.Outcome);
        Assert.StartsWith(reason, refused.Detail, StringComparison.Ordinal);
        Assert.Equal(0, server.Count);
        Assert.DoesNotContain("client=", server.Log, StringComparison.Ordinal);
    }

    private async Task<Delivery> SendAsync(PrivatePostfix server, string password = Password)
    {
        await using var route = new SmtpRoute(Settings(server, password), TimeProvider.System);
        return await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken);
    }

    private MailSettings Settings(PrivatePostfix server, string password)
    {
        var file = Path.Combine(_folder.FullName, "password");
        File.WriteAllText(file, password + "\n");
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(file, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        var root = Path.Combine(_folder.FullName, "root.pem");
        _authority.WriteRoot(root);
        return new MailSettings { Host = "localhost", Port = server.Port, User = User, PasswordFile = file, RootCertificateFile = root };
    }
}
