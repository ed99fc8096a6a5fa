using System;
using System.Collections.Generic;
using System.Diagnostics;
using System.Globalization;
using System.IO;
using System.Linq;
using System.Net;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;

namespace RefillPlanner.Servers;

/// <summary>A private Dovecot on loopback with one mailbox, read by IMAP. Needs root.</summary>
public sealed class PrivateDovecot : IDisposable
{
    private const string Password = "lantern-hollow-7";

    private const string Dovecot = "/usr/sbin/dovecot";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("refill-planner-dovecot-");
    private int _mails;

    /// <summary>Starts it; it listens when this returns.</summary>
    /// <param name="certificate">With which it offers STARTTLS and TLS from the first byte; null: it offers neither.</param>
    public PrivateDovecot(X509Certificate2? certificate = null)
    {
        (Port, TlsPort) = (FreePort(), FreePort());
        Run("chmod", ["755", _folder.FullName]);
        foreach (var name in new[] { "mail", "mail/tmp", "mail/new", "mail/cur", "run", "state" })
            _folder.CreateSubdirectory(name);
        Run("chown", ["-R", "65534:65534", In("mail")]);
        File.WriteAllText(PasswordFile, Password + "\n");
        Run("chmod", ["600", PasswordFile]);
        File.WriteAllLines(In("dovecot.conf"), [.. General(), .. Tls(certificate)]);

        // It goes on in the background, and would keep this program's own output open.
        Run("/bin/sh", ["-c", $"exec {Dovecot} -c {In("dovecot.conf")} >{In("said")} 2>&1"]);
    }

    /// <summary>Why no Dovecot can be started here; null: it can.</summary>
    public static string? WhyNot() =>
        !File.Exists(Dovecot) || !File.Exists("/usr/lib/dovecot/imap") ? "the package dovecot-imapd is not installed"
        : Environment.UserName != "root" ? "this is not root"
        : null;

    /// <summary>The port on which it begins in plain text.</summary>
    public int Port { get; }

    /// <summary>The port on which it begins with TLS.</summary>
    public int TlsPort { get; }

    /// <summary>A file with the password, as <c>password_file</c> wants it.</summary>
    public string PasswordFile => In("password");

    /// <summary>What it logged so far.</summary>
    public string Log => File.Exists(In("log")) ? File.ReadAllText(In("log")) : string.Empty;

    /// <summary>Puts a mail into the mailbox; its number, from 1.</summary>
    /// <param name="mail">Its bytes.</param>
    /// <param name="arrived">When it came.</param>
    public int Put(byte[] mail, DateTimeOffset arrived)
    {
        var name = (++_mails).ToString("d8", CultureInfo.InvariantCulture) + ".invented";
        var file = Path.Combine(In("mail/tmp"), name);
        File.WriteAllBytes(file, mail);
        File.SetLastWriteTimeUtc(file, arrived.UtcDateTime);
        Run("chown", ["65534:65534", file]);
        File.Move(file, Path.Combine(In("mail/new"), name));
        return _mails;
    }

    /// <summary>The numbers of the mails that are marked as read.</summary>
    public IReadOnlyList<int> ListSeen() =>
    [
        .. Directory.GetFiles(In("mail/cur")).Select(file => Path.GetFileName(file))
            .Where(name => name.Split(":2,") is [_, string flags] && flags.Contains('S', StringComparison.Ordinal))
            .Select(name => int.Parse(name[..8], CultureInfo.InvariantCulture)).Order(),
    ];

    /// <summary>How many mails are in the mailbox.</summary>
    public int Count => Directory.GetFiles(In("mail/cur")).Length + Directory.GetFiles(In("mail/new")).Length;

    /// <summary>Stops it and removes all it wrote.</summary>
    public void Dispose()
    {
        Run(Dovecot, ["-c", In("dovecot.conf"), "stop"]);
        _folder.Delete(recursive: true);
    }

    private string[] General() =>
    [
        $"base_dir = {In("run")}",
        $"state_dir = {In("state")}",
        $"log_path = {In("log")}",
        "protocols = imap",
        "listen = 127.0.0.1",
        $"mail_location = maildir:{In("mail")}",
        "first_valid_uid = 1000",
        "auth_failure_delay = 0",
        "passdb {", "  driver = static", $"  args = password={Password}", "}",
        "userdb {", "  driver = static", $"  args = uid=65534 gid=65534 home={In("mail")}", "}",
        "service imap-login {",
        "  inet_listener imap {", $"    port = {Port}", "  }",
        "  inet_listener imaps {", $"    port = {TlsPort}", "    ssl = yes", "  }",
        "}",
    ];

    private IEnumerable<string> Tls(X509Certificate2? certificate)
    {
        if (certificate is null)
            return ["ssl = no", "disable_plaintext_auth = no"];
        using var key = certificate.GetECDsaPrivateKey()!;
        File.WriteAllText(In("server.pem"), certificate.ExportCertificatePem() + "\n");
        File.WriteAllText(In("server.key"), key.ExportPkcs8PrivateKeyPem() + "\n");
        Run("chmod", ["600", In("server.key")]);
        return ["ssl = required", "disable_plaintext_auth = yes", $"ssl_cert = <{In("server.pem")}", $"ssl_key = <{In("server.key")}"];
    }

    private string In(string name) => Path.Combine(_folder.FullName, name);

    private static void Run(string program, IReadOnlyList<string> arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true, UseShellExecute = false })!;
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
