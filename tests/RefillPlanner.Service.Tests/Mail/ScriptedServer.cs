using System;
using System.Collections.Generic;
using System.IO;
using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Threading.Tasks;

namespace RefillPlanner.Service.Tests.Mail;

/// <summary>A mail server on loopback that answers as it is told; null closes the connection.</summary>
internal sealed class ScriptedServer : IDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly Func<string, string?> _answer;

    // The answer goes from a command's first word (MESSAGE after the final dot, GREETING at first) to the reply.
    public ScriptedServer(Func<string, string?> answer)
    {
        _answer = answer;
        _listener.Start();
        _ = ServeAsync();
    }

    public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

    public int Connections { get; private set; }

    public List<string> Messages { get; } = [];

    public void Dispose() => _listener.Dispose();

    private async Task ServeAsync()
    {
        try
        {
            while (true)
            {
                using var client = await _listener.AcceptTcpClientAsync();
                Connections++;
                await TalkAsync(client);
            }
        }
        catch (Exception ended) when (ended is SocketException or ObjectDisposedException or IOException)
        {
            // The test is over.
        }
    }

    private async Task TalkAsync(TcpClient client)
    {
        await using var stream = client.GetStream();
        using var reader = new StreamReader(stream, Encoding.Latin1);
        if (!await ReplyAsync(stream, "GREETING"))
            return;
        while (await reader.ReadLineAsync() is string line)
        {
            var word = line.Split(' ', ':')[0].ToUpperInvariant();
            if (!await ReplyAsync(stream, word))
                return;
            if (word == "QUIT")
                return;
            if (word != "DATA" || !_answer("DATA")!.StartsWith("354", StringComparison.Ordinal))
                continue;
            var message = new StringBuilder();
            while (await reader.ReadLineAsync() is string text && text != ".")
                message.Append(text).Append('\n');
            Messages.Add(message.ToString());
            if (!await ReplyAsync(stream, "MESSAGE"))
                return;
        }
    }

    private async Task<bool> ReplyAsync(NetworkStream stream, string word)
    {
        if (_answer(word) is not string reply)
            return false;
        await stream.WriteAsync(Encoding.Latin1.GetBytes(reply + "\r\n"));
        return true;
    }
}
