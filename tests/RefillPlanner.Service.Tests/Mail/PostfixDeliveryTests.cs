using System;
using System.Diagnostics;
using System.IO;
using System.Linq;
using System.Net;
using System.Net.Sockets;
using System.Threading.Tasks;
using MimeKit;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>A private Postfix on loopback takes the letter and puts it into a mailbox, where it is read back.</summary>
public sealed class PostfixDeliveryTests
{
    private const string Postfix = "/usr/sbin/postfix";

    [Theory]
    [InlineData(Language.English, "It is time to arrange your next supply")]
    [InlineData(Language.Spanish, "Es hora de preparar su próximo pedido")]
    public async Task A_letter_arrives_as_it_was_written(Language language, string words)
    {
        Assert.SkipUnless(File.Exists(Postfix) && Environment.UserName == "root", "Postfix is not installed, or this is not root");
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

    private static string Lines(string? text) => text!.ReplaceLineEndings("\n").TrimEnd();

    private sealed class PrivatePostfix : IDisposable
    {
        private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-postfix-");

        public PrivatePostfix()
        {
            Port = FreePort();
            Run("chmod", $"755 {_folder.FullName}");
            foreach (var name in new[] { "config", "queue", "data", "mail" })
                _folder.CreateSubdirectory(name);
            Run("chown", $"postfix {_folder.FullName}/data");
            Run("chown", $"nobody {_folder.FullName}/mail");
            File.WriteAllText(In("config/main.cf"), $"""
                compatibility_level = 3.6
                queue_directory = {In("queue")}
                data_directory = {In("data")}
                command_directory = /usr/sbin
                daemon_directory = /usr/lib/postfix/sbin
                mail_owner = postfix
                setgid_group = postdrop
                inet_interfaces = 127.0.0.1
                inet_protocols = ipv4
                mynetworks = 127.0.0.0/8
                myhostname = loopback.invalid
                mydestination =
                virtual_mailbox_domains = example.net
                virtual_mailbox_base = {In("mail")}
                virtual_mailbox_maps = static:box/
                virtual_uid_maps = static:65534
                virtual_gid_maps = static:65534
                alias_maps =
                alias_database =
                maillog_file = {In("mail.log")}
                maillog_file_prefixes = {_folder.FullName}
                """);
            File.WriteAllText(In("config/master.cf"), $"""
                127.0.0.1:{Port} inet n - n - - smtpd
                pickup unix n - n 60 1 pickup
                cleanup unix n - n - 0 cleanup
                qmgr unix n - n 300 1 qmgr
                rewrite unix - - n - - trivial-rewrite
                bounce unix - - n - 0 bounce
                defer unix - - n - 0 bounce
                trace unix - - n - 0 bounce
                verify unix - - n - 1 verify
                virtual unix - n n - - virtual
                error unix - - n - - error
                retry unix - - n - - error
                anvil unix - - n - 1 anvil
                proxymap unix - - n - - proxymap
                postlog unix-dgram n - n - 1 postlogd

                """);
            Run(Postfix, $"-c {In("config")} start");
        }

        public int Port { get; }

        public async Task<MimeMessage> ReadAsync(System.Threading.CancellationToken cancellation)
        {
            var box = In("mail/box/new");
            using var patience = System.Threading.CancellationTokenSource.CreateLinkedTokenSource(cancellation);
            patience.CancelAfter(TimeSpan.FromSeconds(30));
            using var timer = new System.Threading.PeriodicTimer(TimeSpan.FromMilliseconds(50));
            while (!Directory.Exists(box) || Directory.GetFiles(box).Length == 0)
                await timer.WaitForNextTickAsync(patience.Token);
            return await MimeMessage.LoadAsync(Directory.GetFiles(box).Single(), cancellation);
        }

        public void Dispose()
        {
            Run(Postfix, $"-c {In("config")} stop");
            _folder.Delete(recursive: true);
        }

        private string In(string name) => Path.Combine(_folder.FullName, name);

        private static void Run(string program, string arguments)
        {
            using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true, UseShellExecute = false })!;
            var said = process.StandardError.ReadToEnd();
            process.WaitForExit();
            Assert.True(process.ExitCode == 0, $"{program} {arguments}: {said}");
        }

        private static int FreePort()
        {
            using var listener = new TcpListener(IPAddress.Loopback, 0);
            listener.Start();
            return ((IPEndPoint)listener.LocalEndpoint).Port;
        }
    }
}
