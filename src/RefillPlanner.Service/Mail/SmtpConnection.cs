using System;
using System.Linq;
using System.Net.Sockets;
using System.Text;
using System.Threading;
using System.Threading.Tasks;
using MailKit;
using MailKit.Net.Smtp;
using MailKit.Security;
using MimeKit;
using NodaTime;

namespace RefillPlanner.Service.Mail;

/// <summary>One connection to a mail server, whose every ending is sorted by what to do next.</summary>
internal sealed class SmtpConnection : SmtpClient
{
    // One is tried, so that a wrong password is tried once. Under TLS the plain ones are as good as any, and every server has one of them.
    private static readonly string[] Mechanisms = ["PLAIN", "LOGIN", "SCRAM-SHA-256", "SCRAM-SHA-1", "CRAM-MD5"];
    private readonly MailSettings _settings;
    private readonly SmtpTalk _talk;
    private readonly ServerCertificate _certificate;

    public SmtpConnection(MailSettings settings, TimeProvider time, SmtpPatience patience)
        : this(settings, new SmtpTalk(time, patience))
    {
    }

    private SmtpConnection(MailSettings settings, SmtpTalk talk)
        : base(talk)
    {
        _settings = settings;
        _talk = talk;
        _certificate = new ServerCertificate(settings.Host!, settings.RootCertificateFile);
        Timeout = System.Threading.Timeout.Infinite; // the talk's patience is the only one
        CheckCertificateRevocation = false;
        ServerCertificateValidationCallback = _certificate.Check;
    }

    /// <summary>Where the talk stands.</summary>
    public SmtpPhase Phase => _talk.Phase;

    /// <summary>Whether another letter may go by it.</summary>
    public bool IsUsable => IsConnected && !_talk.Token.IsCancellationRequested;

    /// <summary>Until when the server's certificate is valid; null: none was shown.</summary>
    public Instant? CertificateNotAfter => _certificate.NotAfter;

    /// <summary>Connects, greets, protects and logs in. <see cref="DeliveryOutcome.Accepted"/>: letters may go.</summary>
    public Task<Delivery> OpenAsync(CancellationToken stop) => TryAsync(SmtpPhase.Connect, OpenAsync, stop);

    /// <summary>Gives the server a letter for its one recipient.</summary>
    public Task<Delivery> GiveAsync(MimeMessage letter, CancellationToken stop) =>
        TryAsync(SmtpPhase.Mail, async () =>
        {
            // RFC 6531, 3.2. MailKit would write it all the same.
            if (!Capabilities.HasFlag(SmtpCapabilities.UTF8) && letter.To.Mailboxes.Any(mailbox => !Ascii.IsValid(mailbox.GetAddress(idnEncode: true))))
                throw new NotSupportedException("the server takes no address with letters beyond ASCII before the @");
            return Delivery.Of(DeliveryOutcome.Accepted, await SendAsync(letter, _talk.Token, _talk));
        }, stop);

    /// <summary>Asks for nothing, to see whether the server answers.</summary>
    public Task<Delivery> AskAsync(CancellationToken stop) => TryAsync(SmtpPhase.Noop, async () =>
    {
        await NoOpAsync(_talk.Token);
        return new Delivery(DeliveryOutcome.Accepted, "the server answers");
    }, stop);

    /// <summary>Says good-bye where the server still listens, and closes.</summary>
    public async Task CloseAsync()
    {
        if (IsUsable)
        {
            _talk.Enter(SmtpPhase.Quit);
            await DisconnectAsync(quit: true, _talk.Token);
        }

        Dispose();
    }

    /// <inheritdoc/>
    protected override void OnSenderAccepted(MimeMessage message, MailboxAddress mailbox, SmtpResponse response) => _talk.Enter(SmtpPhase.Rcpt);

    /// <inheritdoc/>
    protected override void OnRecipientAccepted(MimeMessage message, MailboxAddress mailbox, SmtpResponse response) => _talk.Enter(SmtpPhase.Data);

    // RFC 3461, 4.4: what a bounce names, so that it can be matched to its message.
    /// <inheritdoc/>
    protected override string? GetEnvelopeId(MimeMessage message) => message.MessageId?.Split('@')[0];

    /// <inheritdoc/>
    protected override DeliveryStatusNotification? GetDeliveryStatusNotifications(MimeMessage message, MailboxAddress mailbox) => DeliveryStatusNotification.Failure;

    private async Task<Delivery> OpenAsync()
    {
        var security = _settings.Security switch
        {
            MailSecurity.StartTls => SecureSocketOptions.StartTls,
            MailSecurity.SslOnConnect => SecureSocketOptions.SslOnConnect,
            _ => SecureSocketOptions.None,
        };
        await ConnectAsync(await ReachAsync(), _settings.Host!, _settings.Port, security, _talk.Token);

        // One command, one answer: with several at once nobody knows which of them a break cut off.
        Capabilities &= ~(SmtpCapabilities.Pipelining | SmtpCapabilities.Chunking | SmtpCapabilities.BinaryMime);
        if (_settings.User is string user)
        {
            _talk.Enter(SmtpPhase.Auth);
            var (password, whyNot) = MailPassword.Read(_settings);
            if (password is null)
                return SmtpVerdict.Say(DeliveryOutcome.AccountRefused, SmtpPhase.Auth, whyNot!);
            var mechanism = Mechanisms.FirstOrDefault(AuthenticationMechanisms.Contains);
            AuthenticationMechanisms.RemoveWhere(other => other != mechanism);
            await AuthenticateAsync(user, password, _talk.Token);
        }

        return new Delivery(DeliveryOutcome.Accepted, "connected");
    }

    // A socket of our own: with the delay of small packets a letter can stall for 40 ms.
    private async Task<Socket> ReachAsync()
    {
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            await socket.ConnectAsync(_settings.Host!, _settings.Port, _talk.Token);
            return socket;
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }

    private async Task<Delivery> TryAsync(SmtpPhase first, Func<Task<Delivery>> step, CancellationToken stop)
    {
        _talk.Enter(first);
        await using var stopping = stop.Register(_talk.Stop);
        try
        {
            return await step();
        }
        catch (Exception failure) when (_talk.Phase == SmtpPhase.Dot || SmtpVerdict.Knows(failure))
        {
            return SmtpVerdict.Of(failure, _talk, _certificate.Fault);
        }
        finally
        {
            _talk.Rest();
        }
    }
}
