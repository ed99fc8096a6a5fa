using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.IO;
using System.Linq;
using System.Net;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;
using System.Threading;
using System.Threading.Tasks;
using MimeKit;

namespace RefillPlanner.Servers;

/// <summary>What a private Postfix asks for.</summary>
public sealed record PostfixOptions
{
    /// <summary>The certificate with which it offers STARTTLS; null: it offers none.</summary>
    public X509Certificate2? Certificate { get; init; }

    /// <summary>Whether it takes mail under TLS only.</summary>
    public bool IsTlsDemanded { get; init; }

    /// <summary>User and password without which it takes no mail; null: it takes all.</summary>
    public (string User, string Password)? Account { get; init; }
}

/// <summary>A private Postfix on loopback that puts every letter to example.net into one mailbox, and returns all others to their sender. Needs root.</summary>
public sealed class PrivatePostfix : IDisposable
{
    private const string Postfix = "/usr/sbin/postfix";
    private const string PasswordProgram = "/usr/sbin/saslpasswd2";
    private const string Realm = "loopback.invalid";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-postfix-");

    /// <summary>Starts it; it listens when this returns.</summary>
    public PrivatePostfix(PostfixOptions? options = null)
    {
        options ??= new PostfixOptions();
        Port = FreePort();
        Run("chmod", ["755", _folder.FullName]);
        foreach (var name in new[] { "config", "config/sasl", "queue", "data", "mail" })
            _folder.CreateSubdirectory(name);
        Run("chown", ["postfix", In("data")]);
        Run("chown", ["nobody", In("mail")]);
        File.WriteAllLines(In("config/main.cf"), [.. General(), .. Tls(options), .. Login(options)]);
        File.WriteAllText(In("config/master.cf"), Services());
        Run(Postfix, ["-c", In("config"), "start"]);
    }

    /// <summary>Why no Postfix can be started here; null: it can.</summary>
    /// <param name="withLogin">Whether it must know users and passwords.</param>
    public static string? WhyNot(bool withLogin = false) =>
        !File.Exists(Postfix) ? "Postfix is not installed"
        : withLogin && !File.Exists(PasswordProgram) ? "the package sasl2-bin is not installed"
        : Environment.UserName != "root" ? "this is not root"
        : null;

    /// <summary>The port it listens on.</summary>
    public int Port { get; }

    /// <summary>How many letters are in the mailbox.</summary>
    public int Count => Directory.Exists(Box) ? Directory.GetFiles(Box).Length : 0;

    /// <summary>What it logged so far.</summary>
    public string Log => File.Exists(In("mail.log")) ? File.ReadAllText(In("mail.log")) : string.Empty;

    private string Box => In("mail/box/new");

    /// <summary>Waits until a letter is in the mailbox, and reads it.</summary>
    /// <exception cref="OperationCanceledException">None came within 30 seconds.</exception>
    public async Task<MimeMessage> ReadAsync(CancellationToken cancellation)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        patience.CancelAfter(TimeSpan.FromSeconds(30));
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(50));
        while (Count == 0)
            await timer.WaitForNextTickAsync(patience.Token);
        return await MimeMessage.LoadAsync(Directory.GetFiles(Box).Single(), cancellation);
    }

    /// <summary>Stops it and removes all it wrote.</summary>
    public void Dispose()
    {
        Run(Postfix, ["-c", In("config"), "stop"]);
        _folder.Delete(recursive: true);
    }

    private string[] General() =>
    [
        "compatibility_level = 3.6",
        $"queue_directory = {In("queue")}",
        $"data_directory = {In("data")}",
        "command_directory = /usr/sbin",
        "daemon_directory = /usr/lib/postfix/sbin",
        "mail_owner = postfix",
        "setgid_group = postdrop",
        "inet_interfaces = 127.0.0.1",
        "inet_protocols = ipv4",
        "mynetworks = 127.0.0.0/8",
        "myhostname = loopback.invalid",
        "mydestination =",
        "virtual_mailbox_domains = example.net",
        $"virtual_mailbox_base = {In("mail")}",
        "virtual_mailbox_maps = static:box/",
        "virtual_uid_maps = static:65534",
        "virtual_gid_maps = static:65534",
        "default_transport = gone:",
        "alias_maps =",
        "alias_database =",
        $"maillog_file = {In("mail.log")}",
        $"maillog_file_prefixes = {_folder.FullName}",
    ];

    private IEnumerable<string> Tls(PostfixOptions options)
    {
        if (options.Certificate is not X509Certificate2 certificate)
            return ["smtpd_tls_security_level = none"];
        using var key = certificate.GetECDsaPrivateKey()!;
        File.WriteAllText(In("config/server.pem"), key.ExportPkcs8PrivateKeyPem() + "\n" + certificate.ExportCertificatePem() + "\n");
        Run("chmod", ["600", In("config/server.pem")]);
        return
        [
            $"smtpd_tls_security_level = {(options.IsTlsDemanded ? "encrypt" : "may")}",
            $"smtpd_tls_chain_files = {In("config/server.pem")}",
            "smtpd_tls_auth_only = yes",
        ];
    }

    // Cyrus SASL with a database of its own; Debian's Postfix looks for its settings in sasl beside main.cf.
    private IEnumerable<string> Login(PostfixOptions options)
    {
        if (options.Account is not (string user, string password))
            return [];
        var database = In("data/passwords");
        Run(PasswordProgram, ["-p", "-c", "-f", database, "-u", Realm, user], password);
        Run("chown", ["postfix", database]);
        File.WriteAllText(In("config/sasl/smtpd.conf"), $"""
            pwcheck_method: auxprop
            auxprop_plugin: sasldb
            sasldb_path: {database}
            mech_list: PLAIN LOGIN

            """);
        return
        [
            "smtpd_sasl_auth_enable = yes",
            $"smtpd_sasl_local_domain = {Realm}",
            "smtpd_client_restrictions = permit_sasl_authenticated, reject",
            "smtpd_delay_reject = yes",
        ];
    }

    // What is for elsewhere is refused as EX_NOUSER after it was taken, and so returned to its sender.
    private string Services() => $"""
        127.0.0.1:{Port} inet n - n - - smtpd
        pickup unix n - n 60 1 pickup
        cleanup unix n - n - 0 cleanup
        qmgr unix n - n 300 1 qmgr
        tlsmgr unix - - n 1000? 1 tlsmgr
        rewrite unix - - n - - trivial-rewrite
        bounce unix - - n - 0 bounce
        defer unix - - n - 0 bounce
        trace unix - - n - 0 bounce
        verify unix - - n - 1 verify
        virtual unix - n n - - virtual
        error unix - - n - - error
        gone unix - n n - - pipe flags= user=nobody argv=/bin/sh -c {("{exit 67}")}
        retry unix - - n - - error
        anvil unix - - n - 1 anvil
        proxymap unix - - n - - proxymap
        postlog unix-dgram n - n - 1 postlogd

        """;

    private string In(string name) => Path.Combine(_folder.FullName, name);

    private static void Run(string program, IReadOnlyList<string> arguments, string? input = null)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true, RedirectStandardInput = true, UseShellExecute = false })!;
        process.StandardInput.Write(input);
        process.StandardInput.Close();
        var said = process.StandardError.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
            throw new InvalidOperationException($"{program} {string.Join(' ', arguments)} ended with {process.ExitCode}: {said}");
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
