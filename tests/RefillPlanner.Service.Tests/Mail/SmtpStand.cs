using System;
using System.IO;
using System.Linq;
using System.Text;
using System.Threading.Tasks;
using Microsoft.Extensions.Time.Testing;
using MimeKit;
using RefillPlanner.Servers;
using RefillPlanner.Service.Mail;
using Xunit;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>A route to a scripted server, by a clock that stands still.</summary>
internal sealed class SmtpStand : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);

    public SmtpStand(Func<SmtpMoment, Reply?> script, MailSettings? settings = null, ScriptedServerOptions? options = null)
    {
        Server = new ScriptedServer(script, (options ?? new ScriptedServerOptions()) with { Time = Time });
        Route = new SmtpRoute((settings ?? new MailSettings { Security = MailSecurity.Plain }) with { Host = "127.0.0.1", Port = Server.Port }, Time);
    }

    public FakeTimeProvider Time { get; } = new();

    public ScriptedServer Server { get; }

    public SmtpRoute Route { get; }

    public static Func<SmtpMoment, Reply?> At(string phase, Reply? reply) => moment => moment.Phase == phase ? reply : null;

    public Task<Delivery> SendAsync() => SendAsync(Letters.Letter());

    public Task<Delivery> SendAsync(MimeMessage letter) => Soon(Route.SendAsync(letter, TestContext.Current.CancellationToken));

    // Sends, and lets the clock go on when the server has heard a phase.
    public async Task<Delivery> SendUntilAsync(string phase, params TimeSpan[] steps)
    {
        var sending = Route.SendAsync(Letters.Letter(), TestContext.Current.CancellationToken);
        await Soon(Server.ReachedAsync(phase));
        foreach (var step in steps)
            Time.Advance(step);
        return await Soon(sending);
    }

    public static Task<T> Soon<T>(Task<T> task) => task.WaitAsync(Patience, TestContext.Current.CancellationToken);

    public static Task Soon(Task task) => task.WaitAsync(Patience, TestContext.Current.CancellationToken);

    public async ValueTask DisposeAsync()
    {
        Server.Dispose();
        await Route.DisposeAsync();
    }

    // A letter of so many bytes of text, in lines; each line may begin with a dot.
    public static MimeMessage LetterOf(int bytes, bool withDots = false)
    {
        var letter = Letters.Letter();
        var line = Encoding.ASCII.GetBytes((withDots ? "." : "x") + new string('x', 61) + "\r\n");
        var text = new byte[bytes];
        for (var at = 0; at < bytes; at++)
            text[at] = line[at % line.Length];
        letter.Body = new MimePart("text", "plain") { ContentTransferEncoding = ContentEncoding.SevenBit, Content = new MimeContent(new MemoryStream(text)) };
        return letter;
    }

    public static MimeMessage LetterTo(string address)
    {
        var letter = Letters.Letter();
        letter.To.Clear();
        letter.To.AddRange(address.Split(';').Select(MailboxAddress.Parse));
        return letter;
    }
}
