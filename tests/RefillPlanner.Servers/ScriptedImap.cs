using System;
using System.Collections.Concurrent;
using System.Collections.Generic;
using System.IO;
using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Threading.Tasks;

namespace RefillPlanner.Servers;

/// <summary>An IMAP server on loopback that answers as it is told, one connection after the other.</summary>
public sealed class ScriptedImap : IDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly TaskCompletionSource _ended = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly TaskCompletionSource _heard = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly ConcurrentQueue<string> _lines = [];
    private readonly Func<string, string?> _answer;

    /// <summary>Starts it.</summary>
    /// <param name="answer">
    /// From a command without its tag (GREETING at first) to the lines of the answer, in which <c>TAG</c> stands for the tag; null closes the
    /// connection, and an empty answer never comes.
    /// </param>
    public ScriptedImap(Func<string, string?> answer)
    {
        _answer = answer;
        _listener.Start();
        _ = ServeAsync();
    }

    /// <summary>The port it listens on.</summary>
    public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

    /// <summary>What it was told, without tags.</summary>
    public IReadOnlyCollection<string> Lines => _lines;

    /// <summary>Ends when an answer was due that never comes.</summary>
    public Task Hangs => _heard.Task;

    /// <inheritdoc/>
    public void Dispose()
    {
        _ended.TrySetResult();
        _listener.Dispose();
    }

    private async Task ServeAsync()
    {
        try
        {
            while (true)
            {
                using var client = await _listener.AcceptTcpClientAsync();
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
        if (!await ReplyAsync(stream, "*", "GREETING"))
            return;
        while (await reader.ReadLineAsync() is string line)
        {
            var space = line.IndexOf(' ', StringComparison.Ordinal);
            var command = line[(space + 1)..];
            _lines.Enqueue(command);
            if (!await ReplyAsync(stream, line[..Math.Max(space, 0)], command))
                return;
        }
    }

    private async Task<bool> ReplyAsync(NetworkStream stream, string tag, string command)
    {
        if (_answer(command) is not string answer)
            return false;
        if (answer.Length == 0)
        {
            _heard.TrySetResult();
            await _ended.Task;
            return false;
        }

        await stream.WriteAsync(Encoding.Latin1.GetBytes(answer.Replace("TAG", tag, StringComparison.Ordinal).ReplaceLineEndings("\r\n") + "\r\n"));
        return true;
    }
}
