using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using System.Threading;
using System.Threading.Tasks;
using MailKit.Security;
using NodaTime;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using RefillPlanner.Store;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>The reader against a real IMAP server, and against one that misbehaves.</summary>
public sealed class MailboxReaderTests
{
    private static readonly MailboxMark None = new(0, 0);

    [Fact]
    public async Task M11_Mail_is_read_once_in_order_and_stays_unread_for_people()
    {
        using var server = Start();
        for (var mail = 1; mail <= 3; mail++)
            Put(server, $"mail {mail}");

        var first = await ReadAsync(server, None);
        Assert.Equal(["mail 1", "mail 2", "mail 3"], first.Select(Subject));
        Assert.Empty(server.ListSeen());
        Assert.Empty(await ReadAsync(server, first[^1].Mark));

        Put(server, "mail 4");
        Assert.Equal(["mail 4"], (await ReadAsync(server, first[^1].Mark)).Select(Subject));
        Assert.Equal(4, server.Count);
    }

    [Fact]
    public async Task M11_Only_what_was_dealt_with_is_marked_as_read()
    {
        using var server = Start();
        for (var mail = 1; mail <= 3; mail++)
            Put(server, $"mail {mail}");
        await using var reader = await OpenAsync(server);
        await foreach (var mail in reader.ListNewAsync(None, Letters.Now, TestContext.Current.CancellationToken))
        {
            if (Subject(mail) == "mail 2")
                await reader.MarkSeenAsync(mail, TestContext.Current.CancellationToken);
        }

        Assert.Equal([2], server.ListSeen());
    }

    [Fact]
    public async Task M11_At_most_200_mails_are_read_in_a_visit_and_the_next_visit_goes_on()
    {
        using var server = Start();
        for (var mail = 1; mail <= 205; mail++)
            Put(server, $"mail {mail}");
        var first = await ReadAsync(server, None);
        Assert.Equal(200, first.Count);
        Assert.Equal(["mail 201", "mail 202", "mail 203", "mail 204", "mail 205"], (await ReadAsync(server, first[^1].Mark)).Select(Subject));
    }

    [Fact]
    public async Task M11_A_mail_of_more_than_5_MB_is_passed_by()
    {
        using var server = Start();
        server.Put(Encoding.ASCII.GetBytes("Subject: large\r\n\r\n" + string.Concat(Enumerable.Repeat(new string('x', 78) + "\r\n", 70_000))), Letters.Now.ToDateTimeOffset());
        Put(server, "mail 2");
        var mails = await ReadAsync(server, None);
        Assert.Equal([null, "mail 2"], mails.Select(mail => mail.Bytes is null ? null : Subject(mail)));
    }

    [Fact]
    public async Task M11_A_mailbox_that_is_another_one_now_is_read_from_a_week_ago()
    {
        using var server = Start();
        server.Put(Reports.Bytes(Reports.Mail("ten days old")), (Letters.Now - Duration.FromDays(10)).ToDateTimeOffset());
        server.Put(Reports.Bytes(Reports.Mail("six days old")), (Letters.Now - Duration.FromDays(6)).ToDateTimeOffset());

        // Never read; and read as far as number 5000 while its numbers had another meaning (RFC 3501, section 2.3.1.1).
        Assert.Equal(["six days old"], (await ReadAsync(server, None)).Select(Subject));
        Assert.Equal(["six days old"], (await ReadAsync(server, new MailboxMark(1, 5000))).Select(Subject));
    }

    [Theory]
    [InlineData(MailSecurity.StartTls)]
    [InlineData(MailSecurity.SslOnConnect)]
    public async Task M11_A_mailbox_is_read_under_TLS_with_a_private_authority(MailSecurity security)
    {
        using var authority = new TestAuthority();
        using var server = Start(authority.Right());
        using var root = new SmallFile(authority.Root.ExportCertificatePem());
        Put(server, "mail 1");
        var settings = Settings(security == MailSecurity.StartTls ? server.Port : server.TlsPort, server.PasswordFile) with { Security = security, RootCertificateFile = root.Name };
        Assert.Equal(["mail 1"], (await ReadAsync(settings, None)).Select(Subject));
    }

    [Theory]
    [InlineData("name")]
    [InlineData("date")]
    [InlineData("root")]
    public async Task M8_A_mailbox_with_a_wrong_certificate_is_told_no_password(string wrong)
    {
        using var authority = new TestAuthority();
        using var stranger = new TestAuthority();
        using var server = Start(wrong switch { "name" => authority.WrongName(), "date" => authority.Expired(), _ => stranger.Right() });
        using var root = new SmallFile(authority.Root.ExportCertificatePem());
        var settings = Settings(server.TlsPort, server.PasswordFile) with { Security = MailSecurity.SslOnConnect, RootCertificateFile = root.Name };
        await Assert.ThrowsAsync<SslHandshakeException>(() => ReadAsync(settings, None));
        Assert.DoesNotContain("Login", server.Log, StringComparison.Ordinal);
    }

    [Fact]
    public async Task M8_A_wrong_password_is_told()
    {
        using var server = Start();
        using var password = new SmallFile("wrong");
        await Assert.ThrowsAsync<AuthenticationException>(() => ReadAsync(Settings(server.Port, password.Name), None));
    }

    [Fact]
    public void The_password_comes_from_its_file_else_the_environment_else_systemd()
    {
        using var file = new SmallFile("of the file\n");
        var folder = Directory.CreateTempSubdirectory("refill-planner-tests-");
        File.WriteAllText(Path.Combine(folder.FullName, "mailbox_password"), "of systemd\n");
        Dictionary<string, string> variables = new() { ["CREDENTIALS_DIRECTORY"] = folder.FullName, ["REFILL_PLANNER_MAILBOX_PASSWORD"] = "of the environment" };
        Assert.Equal("of the file", MailPassword.Read(Settings(143, file.Name), variables.GetValueOrDefault).Password);
        Assert.Equal("of the environment", MailPassword.Read(Settings(143), variables.GetValueOrDefault).Password);
        variables.Remove("REFILL_PLANNER_MAILBOX_PASSWORD");
        Assert.Equal("of systemd", MailPassword.Read(Settings(143), variables.GetValueOrDefault).Password);
        folder.Delete(recursive: true);
        Assert.Contains("mailbox.password_file", MailPassword.Read(Settings(143), variables.GetValueOrDefault).WhyNot, StringComparison.Ordinal);
    }

    [Fact]
    public async Task M7_A_mailbox_server_that_strips_STARTTLS_is_told_nothing()
    {
        using var server = new ScriptedImap(command => command switch
        {
            "GREETING" => "* OK [CAPABILITY IMAP4rev1 AUTH=PLAIN] ready",
            "CAPABILITY" => "* CAPABILITY IMAP4rev1 AUTH=PLAIN\nTAG OK done",
            _ => "TAG OK done",
        });
        await Assert.ThrowsAsync<NotSupportedException>(() => ReadAsync(Settings(server.Port) with { Security = MailSecurity.StartTls }, None));
        Assert.DoesNotContain(server.Lines, line => line.StartsWith("LOGIN", StringComparison.OrdinalIgnoreCase) || line.StartsWith("AUTHENTICATE", StringComparison.OrdinalIgnoreCase));
    }

    [Fact]
    public async Task M7_A_mailbox_on_another_machine_is_not_read_in_clear_text() =>
        await Assert.ThrowsAsync<InvalidOperationException>(() => ReadAsync(Settings(143) with { Host = "mail.example.org" }, None));

    [Fact]
    public async Task M8_A_mailbox_server_that_never_answers_is_left_when_the_visit_ends()
    {
        using var server = new ScriptedImap(command => command == "GREETING" ? "* OK [CAPABILITY IMAP4rev1 AUTH=PLAIN] ready" : string.Empty);
        using var password = new SmallFile("invented");
        using var end = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        var reading = ReadAsync(Settings(server.Port, password.Name), None, end.Token);
        await server.Hangs;
        await end.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => reading);
    }

    private static PrivateDovecot Start(X509Certificate2? certificate = null)
    {
        Assert.SkipWhen(PrivateDovecot.WhyNot() is not null, PrivateDovecot.WhyNot() ?? string.Empty);
        return new PrivateDovecot(certificate);
    }

    private static void Put(PrivateDovecot server, string subject) => server.Put(Reports.Bytes(Reports.Mail(subject)), Letters.Now.ToDateTimeOffset());

    private static MailboxSettings Settings(int port, string? passwordFile = null) => new() { Host = "127.0.0.1", Port = port, Security = MailSecurity.Plain, User = "staff", PasswordFile = passwordFile };

    private static string Subject(ArrivedMail mail)
    {
        using var stream = new MemoryStream(mail.Bytes!);
        return MimeKit.MimeMessage.Load(stream, TestContext.Current.CancellationToken).Subject ?? string.Empty;
    }

    private static async Task<MailboxReader> OpenAsync(PrivateDovecot server)
    {
        var reader = new MailboxReader(Settings(server.Port, server.PasswordFile));
        await reader.OpenAsync(TestContext.Current.CancellationToken);
        return reader;
    }

    private static Task<List<ArrivedMail>> ReadAsync(PrivateDovecot server, MailboxMark mark) => ReadAsync(Settings(server.Port, server.PasswordFile), mark);

    private static async Task<List<ArrivedMail>> ReadAsync(MailboxSettings settings, MailboxMark mark, CancellationToken? end = null)
    {
        var cancellation = end ?? TestContext.Current.CancellationToken;
        await using var reader = new MailboxReader(settings);
        await reader.OpenAsync(cancellation);
        var mails = new List<ArrivedMail>();
        await foreach (var mail in reader.ListNewAsync(mark, Letters.Now, cancellation))
            mails.Add(mail);
        return mails;
    }

    private sealed class SmallFile : IDisposable
    {
        public SmallFile(string text) => File.WriteAllText(Name, text);

        public string Name { get; } = Path.GetTempFileName();

        public void Dispose() => File.Delete(Name);
    }
}
