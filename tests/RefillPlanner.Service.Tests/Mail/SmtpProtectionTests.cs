using System;
using System.IO;
using System.Linq;
using System.Security.Cryptography.X509Certificates;
using System.Threading.Tasks;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>Nothing goes in clear, and nothing to a server that is not the one meant.</summary>
public sealed class SmtpProtectionTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-tests-");
    private readonly TestAuthority _authority = new();

    public SmtpProtectionTests()
    {
        _authority.WriteRoot(In("root.pem"));
        File.WriteAllText(In("password"), "right\n");
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(In("password"), UnixFileMode.UserRead | UnixFileMode.UserWrite);
    }

    [Theory]
    [InlineData(MailSecurity.StartTls)]
    [InlineData(MailSecurity.SslOnConnect)]
    public async Task A_letter_goes_under_TLS_after_a_login_and_nothing_of_it_in_clear(MailSecurity security)
    {
        using var certificate = _authority.Right();
        await using var stand = Stand(_ => null, certificate, security);
        Assert.Equal(DeliveryOutcome.Accepted, (await stand.SendAsync()).Outcome);
        Assert.True(Assert.Single(stand.Server.Letters).IsAccepted);
        Assert.All(stand.Server.Moments.Where(moment => moment.Phase is not ("GREETING" or "EHLO" or "STARTTLS")), moment => Assert.True(moment.IsProtected, moment.Phase));
        Assert.Contains(stand.Server.Moments, moment => moment.Phase == "AUTH");
    }

    [Fact]
    public async Task M7_A_server_that_strips_STARTTLS_gets_nothing()
    {
        await using var stand = Stand(_ => null, certificate: null);
        await AssertRefusedAsync(stand, "STARTTLS");
    }

    [Theory]
    [InlineData("502 5.5.1 not here")]
    [InlineData("454 4.7.0 TLS not available")]
    [InlineData("501 5.5.4 no")]
    public async Task M7_A_server_that_refuses_STARTTLS_gets_nothing(string answer)
    {
        using var certificate = _authority.Right();
        await using var stand = Stand(SmtpStand.At("STARTTLS", answer), certificate);
        await AssertRefusedAsync(stand, $"STARTTLS: {answer}");
    }

    [Fact]
    public async Task M7_A_server_whose_STARTTLS_leads_to_no_TLS_gets_nothing()
    {
        // It says yes and goes on in clear, as a proxy in between might.
        await using var stand = Stand(moment => moment.Phase switch { "EHLO" => "250-loopback\r\n250 STARTTLS", "STARTTLS" => "220 go on\r\n250 all in clear", _ => null }, certificate: null);
        var refused = await stand.SendAsync();
        Assert.NotEqual(DeliveryOutcome.Accepted, refused.Outcome);
        Assert.DoesNotContain(stand.Server.Moments, moment => moment.Phase is "AUTH" or "MAIL");
    }

    [Fact]
    public void M7_Clear_text_to_another_machine_is_refused() =>
        Assert.Throws<ArgumentException>(() => new SmtpRoute(new MailSettings { Host = "mail.example.org", Security = MailSecurity.Plain }, TimeProvider.System));

    [Theory]
    [InlineData("another name", MailSecurity.StartTls, "STARTTLS: the server's certificate is not for 127.0.0.1")]
    [InlineData("expired", MailSecurity.StartTls, "STARTTLS: the server's certificate is not valid now; it is valid until 20")]
    [InlineData("another root", MailSecurity.StartTls, "STARTTLS: the server's certificate is not signed by the authority in ")]
    [InlineData("another name", MailSecurity.SslOnConnect, "connecting: the server's certificate is not for 127.0.0.1")]
    [InlineData("expired", MailSecurity.SslOnConnect, "connecting: the server's certificate is not valid now; it is valid until 20")]
    [InlineData("another root", MailSecurity.SslOnConnect, "connecting: the server's certificate is not signed by the authority in ")]
    public async Task M8_A_server_with_a_wrong_certificate_gets_nothing(string wrong, MailSecurity security, string reason)
    {
        using var other = new TestAuthority();
        using var certificate = wrong switch { "another name" => _authority.WrongName(), "expired" => _authority.Expired(), _ => other.Right() };
        await using var stand = Stand(_ => null, certificate, security);
        await AssertRefusedAsync(stand, reason);
    }

    [Fact]
    public async Task M8_A_private_authority_unknown_to_this_machine_is_not_trusted()
    {
        using var certificate = _authority.Right();
        await using var stand = Stand(_ => null, certificate, settings: new MailSettings());
        await AssertRefusedAsync(stand, "STARTTLS: the server's certificate is not signed by an authority that this machine trusts");
    }

    [Fact]
    public async Task M8_A_root_certificate_file_that_is_gone_is_named()
    {
        using var certificate = _authority.Right();
        await using var stand = Stand(_ => null, certificate);
        File.Delete(In("root.pem"));
        await AssertRefusedAsync(stand, "STARTTLS: root_certificate_file ");
    }

    [Theory]
    [InlineData("STARTTLS")]
    [InlineData("AUTH")]
    public async Task M8_A_server_that_hangs_while_it_protects_or_logs_in_is_left_after_a_minute(string phase)
    {
        using var certificate = _authority.Right();
        await using var stand = Stand(SmtpStand.At(phase, Reply.Hang), certificate);
        Assert.Equal(DeliveryOutcome.ServerAway, (await stand.SendUntilAsync(phase, TimeSpan.FromMinutes(1))).Outcome);
    }

    [Fact]
    public async Task M3_A_break_while_TLS_is_set_up_is_a_server_that_is_away()
    {
        using var server = new ScriptedServer(SmtpStand.At("GREETING", Reply.Close));
        await using var route = new SmtpRoute(new MailSettings { Host = "127.0.0.1", Port = server.Port, Security = MailSecurity.SslOnConnect }, TimeProvider.System);
        Assert.Equal(DeliveryOutcome.ServerAway, (await route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken)).Outcome);
    }

    [Fact]
    public async Task M8_A_wrong_password_is_tried_once()
    {
        using var certificate = _authority.Right();
        File.WriteAllText(In("password"), "wrong");
        await using var stand = Stand(_ => null, certificate);
        var refused = await stand.SendAsync();
        Assert.Equal((DeliveryOutcome.AccountRefused, "AUTH: 535 5.7.8 user or password is wrong"), (refused.Outcome, refused.Detail));
        Assert.Single(stand.Server.Moments, moment => moment.Phase == "AUTH");
        Assert.Empty(stand.Server.Letters);
    }

    [Fact]
    public async Task M8_A_server_that_offers_no_login_where_one_is_set_gets_nothing()
    {
        await using var stand = new SmtpStand(_ => null, new MailSettings { Security = MailSecurity.Plain, User = "planner", PasswordFile = In("password") });
        Assert.Equal(DeliveryOutcome.AccountRefused, (await stand.SendAsync()).Outcome);
        Assert.DoesNotContain(stand.Server.Moments, moment => moment.Phase == "MAIL");
    }

    [Fact]
    public async Task A_probe_says_until_when_the_certificate_is_valid_and_sends_nothing()
    {
        using var certificate = _authority.Right();
        await using var stand = Stand(_ => null, certificate);
        var result = await SmtpProbe.RunAsync(Settings(stand), stand.Time, TestContext.Current.CancellationToken);
        Assert.Equal((DeliveryOutcome.Accepted, "the server answers"), (result.Outcome, result.Detail));
        Assert.Equal(certificate.NotAfter.ToUniversalTime(), result.CertificateNotAfter!.Value.ToDateTimeUtc());
        Assert.Equal(["GREETING", "EHLO", "STARTTLS", "EHLO", "AUTH", "NOOP", "QUIT"], stand.Server.Moments.Select(moment => moment.Phase));
    }

    [Fact]
    public async Task A_probe_of_an_expired_certificate_says_so()
    {
        using var certificate = _authority.Expired();
        await using var stand = Stand(_ => null, certificate);
        var result = await SmtpProbe.RunAsync(Settings(stand), stand.Time, TestContext.Current.CancellationToken);
        Assert.Equal(DeliveryOutcome.AccountRefused, result.Outcome);
        Assert.Equal(certificate.NotAfter.ToUniversalTime(), result.CertificateNotAfter!.Value.ToDateTimeUtc());
    }

    public void Dispose()
    {
        _authority.Dispose();
        _folder.Delete(recursive: true);
    }

    private static async Task AssertRefusedAsync(SmtpStand stand, string reason)
    {
        var refused = await stand.SendAsync();
        Assert.Equal(DeliveryOutcome.AccountRefused, refused.Outcome);
        Assert.StartsWith(reason, refused.Detail.Replace("EHLO: The SMTP server does not support the ", string.Empty, StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.DoesNotContain(stand.Server.Moments, moment => moment.Phase is "AUTH" or "MAIL" or "RCPT" or "DATA");
    }

    private SmtpStand Stand(Func<SmtpMoment, Reply?> script, X509Certificate2? certificate, MailSecurity security = MailSecurity.StartTls, MailSettings? settings = null) =>
        new(script, settings ?? Account(security), new ScriptedServerOptions { Certificate = certificate, IsTlsOnConnect = security == MailSecurity.SslOnConnect, Account = ("planner", "right") });

    private MailSettings Account(MailSecurity security) => new() { Security = security, User = "planner", PasswordFile = In("password"), RootCertificateFile = In("root.pem") };

    private MailSettings Settings(SmtpStand stand) => Account(MailSecurity.StartTls) with { Host = "127.0.0.1", Port = stand.Server.Port };

    private string In(string name) => Path.Combine(_folder.FullName, name);
}
