using System;
using System.IO;
using System.Net.Security;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;
using System.Threading;
using System.Threading.Tasks;
using MailKit;
using MailKit.Net.Smtp;
using MailKit.Security;
using MimeKit;

namespace RefillPlanner.Service.Mail;

/// <summary>
/// Gives letters to a mail server, one recipient each, over one connection that is kept for up to 100 letters. Never in clear text, but to
/// this machine itself and when asked for.
/// </summary>
public sealed class SmtpRoute : IMailRoute
{
    /// <summary>At most so many connections to one server.</summary>
    public const int MostConnections = 4;

    private const int MostLetters = 100;
    private readonly MailSettings _settings;
    private PhasedClient? _client;
    private int _letters;

    /// <summary>A route to the configured server.</summary>
    /// <exception cref="ArgumentException">Plain text to another machine.</exception>
    public SmtpRoute(MailSettings settings)
    {
        _settings = settings;
        if (settings.Security == MailSecurity.Plain && !MailSettings.IsLoopback(settings.Host!))
            throw new ArgumentException($"Mail is not sent in clear text to {settings.Host}: use StartTls or SslOnConnect.", nameof(settings));
    }

    /// <inheritdoc/>
    public async Task<Delivery> SendAsync(MimeMessage letter, CancellationToken cancellation)
    {
        try
        {
            var client = await ConnectAsync(cancellation);
            client.Begin();
            var answer = await client.SendAsync(letter, cancellation);
            if (++_letters >= MostLetters)
                await DisconnectAsync();
            return new Delivery(DeliveryOutcome.Accepted, answer);
        }
        catch (SmtpCommandException refused)
        {
            var outcome = (int)refused.StatusCode is >= 400 and < 500 ? DeliveryOutcome.Deferred : DeliveryOutcome.Refused;
            if (refused.ErrorCode is not (SmtpErrorCode.RecipientNotAccepted or SmtpErrorCode.MessageNotAccepted))
                await DisconnectAsync();
            return new Delivery(outcome, $"{(int)refused.StatusCode} {refused.Message}");
        }
        catch (Exception away) when (away is SmtpProtocolException or IOException or SocketException or TimeoutException or AuthenticationException
            or System.Security.Authentication.AuthenticationException or SslHandshakeException or NotSupportedException or ServiceNotConnectedException)
        {
            var outcome = _client is { IsPastRecipient: true } ? DeliveryOutcome.Unknown : DeliveryOutcome.Deferred;
            await DisconnectAsync();
            return new Delivery(outcome, $"{away.GetType().Name}: {away.Message}");
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync() => await DisconnectAsync();

    private async Task<PhasedClient> ConnectAsync(CancellationToken cancellation)
    {
        if (_client is { IsConnected: true } connected)
            return connected;
        await DisconnectAsync();
        var client = new PhasedClient();
        _client = client;
        if (_settings.RootCertificateFile is string file)
            client.ServerCertificateValidationCallback = (_, certificate, _, errors) => IsSignedBy(file, certificate, errors);
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        await socket.ConnectAsync(_settings.Host!, _settings.Port, cancellation);
        var security = _settings.Security switch
        {
            MailSecurity.StartTls => SecureSocketOptions.StartTls,
            MailSecurity.SslOnConnect => SecureSocketOptions.SslOnConnect,
            _ => SecureSocketOptions.None,
        };
        await client.ConnectAsync(socket, _settings.Host!, _settings.Port, security, cancellation);
        if (_settings.User is string user)
        {
            var password = _settings.PasswordFile is string path ? (await File.ReadAllTextAsync(path, cancellation)).TrimEnd('\r', '\n') : string.Empty;
            await client.AuthenticateAsync(user, password, cancellation);
        }

        _letters = 0;
        return client;
    }

    private async Task DisconnectAsync()
    {
        if (_client is null)
            return;
        try
        {
            if (_client.IsConnected)
                await _client.DisconnectAsync(quit: true);
        }
        catch (Exception gone) when (gone is IOException or SocketException or ProtocolException or CommandException)
        {
            // It is gone: that is what was wanted.
        }

        _client.Dispose();
        _client = null;
    }

    private static bool IsSignedBy(string file, X509Certificate? certificate, SslPolicyErrors errors)
    {
        if (certificate is null || errors.HasFlag(SslPolicyErrors.RemoteCertificateNameMismatch))
            return false;
        using var chain = new X509Chain();
        chain.ChainPolicy.TrustMode = X509ChainTrustMode.CustomRootTrust;
        chain.ChainPolicy.CustomTrustStore.ImportFromPemFile(file);
        chain.ChainPolicy.RevocationMode = X509RevocationMode.NoCheck;
        using var presented = X509CertificateLoader.LoadCertificate(certificate.GetRawCertData());
        return chain.Build(presented);
    }

    // Knows whether the recipient was taken: what breaks after that may have broken after the final dot.
    private sealed class PhasedClient : SmtpClient
    {
        public bool IsPastRecipient { get; private set; }

        public void Begin() => IsPastRecipient = false;

        protected override void OnRecipientAccepted(MimeMessage message, MailboxAddress mailbox, SmtpResponse response)
        {
            IsPastRecipient = true;
            base.OnRecipientAccepted(message, mailbox, response);
        }
    }
}
