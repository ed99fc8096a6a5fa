using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Net.Security;
using System.Text;
using System.Threading.Tasks;
using MimeKit;
using MimeKit.Utils;

namespace RefillPlanner.Servers;

/// <summary>One connection of a scripted server.</summary>
internal sealed class ScriptedTalk(ScriptedServer server, int connection)
{
    private readonly ScriptedServerOptions _options = server.Options;
    private Stream _stream = Stream.Null;
    private StreamReader _reader = StreamReader.Null;
    private int _message;
    private string _to = string.Empty;

    private bool IsProtected => _stream is SslStream;

    /// <summary>Talks until one side closes.</summary>
    public async Task HoldAsync(Stream network)
    {
        Use(network);
        if (_options.IsTlsOnConnect)
            await ProtectAsync();
        if (!await AnswerAsync(SmtpMoments.Greeting, string.Empty))
            return;
        while (await _reader.ReadLineAsync(server.End) is string line)
        {
            var word = line.Split(' ', ':')[0].ToUpperInvariant();
            var goesOn = word switch
            {
                "HELO" => await AnswerAsync(SmtpMoments.Ehlo, line),
                SmtpMoments.Auth => await LogInAsync(line),
                SmtpMoments.StartTls => await StartTlsAsync(line),
                SmtpMoments.Data => await TakeLetterAsync(line),
                SmtpMoments.Quit => await AnswerAsync(word, line) && false,
                _ => await AnswerAsync(Noted(word, line), line),
            };
            if (!goesOn)
                return;
        }
    }

    // Keeps what the envelope says.
    private string Noted(string word, string line)
    {
        if (word == SmtpMoments.Mail)
            _message = server.NextMessage();
        if (word == SmtpMoments.Rcpt && line.IndexOf('<', StringComparison.Ordinal) is > 0 and var from && line.IndexOf('>', from) is > 0 and var to)
            _to = line[(from + 1)..to];
        return word;
    }

    private async Task<bool> StartTlsAsync(string line)
    {
        var reply = Ask(SmtpMoments.StartTls, line) ?? Reply.Say(_options.Certificate is null ? "502 5.5.1 not here" : "220 2.0.0 go on");
        if (!await GiveAsync(reply))
            return false;
        if (reply.Text.StartsWith("220", StringComparison.Ordinal))
            await ProtectAsync();
        return true;
    }

    private async Task ProtectAsync()
    {
        var protectedStream = new SslStream(_stream, leaveInnerStreamOpen: false);
        await protectedStream.AuthenticateAsServerAsync(new SslServerAuthenticationOptions { ServerCertificate = _options.Certificate! }, server.End);
        Use(protectedStream);
    }

    // RFC 4954, with PLAIN (RFC 4616) and LOGIN.
    private async Task<bool> LogInAsync(string line)
    {
        if (Ask(SmtpMoments.Auth, "AUTH") is Reply scripted)
            return await GiveAsync(scripted);
        var words = line.Split(' ');
        string said;
        if (words[1].Equals("PLAIN", StringComparison.OrdinalIgnoreCase))
        {
            said = Decode(words.Length > 2 ? words[2] : await AskForAsync(string.Empty));
            said = said[said.IndexOf('\0', StringComparison.Ordinal)..].TrimStart('\0');
        }
        else
        {
            said = Decode(words.Length > 2 ? words[2] : await AskForAsync("VXNlcm5hbWU6")) + '\0' + Decode(await AskForAsync("UGFzc3dvcmQ6"));
        }

        var isKnown = _options.Account is (string user, string password) && said == $"{user}\0{password}";
        return await GiveAsync(Reply.Say(isKnown ? "235 2.7.0 welcome" : "535 5.7.8 user or password is wrong"));
    }

    private async Task<string> AskForAsync(string challenge)
    {
        await WriteAsync($"334 {challenge}\r\n");
        return await _reader.ReadLineAsync(server.End) ?? string.Empty;
    }

    private static string Decode(string base64) => Encoding.UTF8.GetString(Convert.FromBase64String(base64));

    private async Task<bool> TakeLetterAsync(string line)
    {
        var reply = Ask(SmtpMoments.Data, line) ?? Reply.Say("354 go on");
        if (!await GiveAsync(reply))
            return false;
        if (!reply.Text.StartsWith("354", StringComparison.Ordinal))
            return true;
        if (Ask(SmtpMoments.Letter, string.Empty) is { Kind: ReplyKind.Close or ReplyKind.Hang } broken)
            return await GiveAsync(broken);
        var letter = new StringBuilder();
        while (true)
        {
            if (await _reader.ReadLineAsync(server.End) is not string text)
                return false;
            if (text == ".")
                break;
            letter.Append(text.StartsWith('.') ? text[1..] : text).Append("\r\n");
        }

        var place = server.Log(Describe(letter));
        var answer = Ask(SmtpMoments.Message, string.Empty) ?? Reply.Say("250 2.0.0 taken");
        var isAccepted = answer.Text.StartsWith("250", StringComparison.Ordinal);
        if (isAccepted || answer.Kind == ReplyKind.TakeAndClose)
            server.MarkTaken(place, isAccepted);
        return await GiveAsync(answer);
    }

    private ReceivedLetter Describe(StringBuilder letter)
    {
        using var bytes = new MemoryStream(Encoding.Latin1.GetBytes(letter.ToString()));
        var headers = HeaderList.Load(bytes);
        return new ReceivedLetter(
            MimeUtils.EnumerateReferences(headers[HeaderId.MessageId] ?? string.Empty).FirstOrDefault() ?? string.Empty,
            _to,
            headers[HeaderId.Subject] ?? string.Empty,
            letter.Length,
            connection,
            _message,
            _options.Time.GetUtcNow());
    }

    private Task<bool> AnswerAsync(string phase, string line) => GiveAsync(Ask(phase, line) ?? Usual(phase));

    private Reply? Ask(string phase, string line) => server.Ask(new SmtpMoment(phase, connection, _message, line, IsProtected));

    private Reply Usual(string phase) => Reply.Say(phase switch
    {
        SmtpMoments.Greeting => "220 loopback.invalid ESMTP",
        SmtpMoments.Ehlo => Offer(),
        SmtpMoments.Quit => "221 2.0.0 bye",
        _ => "250 2.0.0 fine",
    });

    private string Offer()
    {
        var offers = new List<string> { "loopback.invalid" };
        if (_options.Certificate is not null && !IsProtected)
            offers.Add("STARTTLS");
        if (_options.Account is not null && (IsProtected || _options.Certificate is null))
            offers.Add("AUTH PLAIN LOGIN");
        offers.AddRange(_options.Extensions);
        return string.Join("\r\n", offers.Select((offer, index) => (index < offers.Count - 1 ? "250-" : "250 ") + offer));
    }

    // Whether the talk goes on.
    private async Task<bool> GiveAsync(Reply reply)
    {
        switch (reply.Kind)
        {
            case ReplyKind.Hang:
                var never = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
                await never.Task.WaitAsync(server.End);
                return false;
            case ReplyKind.Close or ReplyKind.TakeAndClose:
                return false;
            case ReplyKind.Drip:
                foreach (var letter in reply.Text + "\r\n")
                {
                    await Task.Delay(reply.Every, _options.Time, server.End);
                    await WriteAsync(letter.ToString());
                }

                break;
            default:
                await WriteAsync(reply.Text + "\r\n");
                break;
        }

        reply.Then?.Invoke();
        return true;
    }

    private async Task WriteAsync(string text)
    {
        await _stream.WriteAsync(Encoding.Latin1.GetBytes(text), server.End);
        await _stream.FlushAsync(server.End);
    }

    private void Use(Stream stream)
    {
        _stream = stream;
        _reader = new StreamReader(stream, Encoding.Latin1, detectEncodingFromByteOrderMarks: false, bufferSize: 1024, leaveOpen: true);
    }
}
