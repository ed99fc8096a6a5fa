using System;
using System.Collections.Generic;
using System.IO;
using System.Linq;
using System.Net;
using System.Net.Sockets;
using System.Security.Authentication;
using System.Security.Cryptography.X509Certificates;
using System.Threading;
using System.Threading.Tasks;

namespace RefillPlanner.Servers;

/// <summary>What a scripted server is, beside its script.</summary>
public sealed record ScriptedServerOptions
{
    /// <summary>The port on loopback; 0: a free one.</summary>
    public int Port { get; init; }

    /// <summary>The certificate with which it does TLS; null: it cannot, and does not offer it.</summary>
    public X509Certificate2? Certificate { get; init; }

    /// <summary>Whether TLS begins on connecting, instead of by STARTTLS.</summary>
    public bool IsTlsOnConnect { get; init; }

    /// <summary>User and password that AUTH accepts; null: it does not offer AUTH. Offered under TLS, or where there is no certificate.</summary>
    public (string User, string Password)? Account { get; init; }

    /// <summary>Further extensions that its EHLO offers, such as <c>DSN</c>.</summary>
    public IReadOnlyList<string> Extensions { get; init; } = [];

    /// <summary>The clock of drips and of the log.</summary>
    public TimeProvider Time { get; init; } = TimeProvider.System;
}

/// <summary>
/// An SMTP server on loopback that does at each moment what its script says; where the script says null it answers as a willing server does.
/// Serves any number of connections at once. It never sleeps: what hangs is released by disposing it.
/// </summary>
public sealed class ScriptedServer : IDisposable
{
    private readonly Lock _lock = new();
    private readonly TcpListener _listener;
    private readonly CancellationTokenSource _end = new();
    private readonly Func<SmtpMoment, Reply?> _script;
    private readonly List<ReceivedLetter> _letters = [];
    private readonly List<SmtpMoment> _moments = [];
    private readonly Dictionary<string, int> _times = [];
    private readonly List<(string Phase, int Times, TaskCompletionSource Reached)> _waiting = [];
    private int _connections;
    private int _messages;

    /// <summary>Starts a server.</summary>
    /// <param name="script">What to do at a moment; null: the usual. Called from several threads.</param>
    /// <param name="options">What it offers; null: a free port, no TLS, no AUTH.</param>
    public ScriptedServer(Func<SmtpMoment, Reply?> script, ScriptedServerOptions? options = null)
    {
        _script = script;
        Options = options ?? new ScriptedServerOptions();
        _listener = new TcpListener(IPAddress.Loopback, Options.Port);
        _listener.Server.NoDelay = true;
        _listener.Start();
        Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _ = ServeAsync();
    }

    /// <summary>A server that is always willing.</summary>
    public ScriptedServer(ScriptedServerOptions? options = null)
        : this(_ => null, options)
    {
    }

    /// <summary>The port it listens on.</summary>
    public int Port { get; }

    /// <summary>How many connections it has taken.</summary>
    public int Connections
    {
        get
        {
            lock (_lock)
                return _connections;
        }
    }

    /// <summary>Every letter whose final dot was received, in the order of the dots, as it stands now.</summary>
    public IReadOnlyList<ReceivedLetter> Letters
    {
        get
        {
            lock (_lock)
                return [.. _letters];
        }
    }

    /// <summary>Every moment so far, in order: what was said to the server, and whether under TLS.</summary>
    public IReadOnlyList<SmtpMoment> Moments
    {
        get
        {
            lock (_lock)
                return [.. _moments];
        }
    }

    internal ScriptedServerOptions Options { get; }

    internal CancellationToken End => _end.Token;

    /// <summary>Ends when a phase has been reached so many times, before it is answered.</summary>
    public Task ReachedAsync(string phase, int times = 1)
    {
        lock (_lock)
        {
            if (_times.GetValueOrDefault(phase) >= times)
                return Task.CompletedTask;
            var reached = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
            _waiting.Add((phase, times, reached));
            return reached.Task;
        }
    }

    /// <summary>Stops listening and drops every connection.</summary>
    public void Dispose()
    {
        if (_end.IsCancellationRequested)
            return;
        _end.Cancel();
        _listener.Dispose();
    }

    internal Reply? Ask(SmtpMoment moment)
    {
        lock (_lock)
        {
            _moments.Add(moment);
            var times = _times[moment.Phase] = _times.GetValueOrDefault(moment.Phase) + 1;
            foreach (var waiting in _waiting.Where(waiting => waiting.Phase == moment.Phase && times >= waiting.Times).ToArray())
            {
                waiting.Reached.SetResult();
                _waiting.Remove(waiting);
            }
        }

        return _script(moment);
    }

    internal int NextMessage() => Interlocked.Increment(ref _messages);

    // The place of the letter in the log.
    internal int Log(ReceivedLetter letter)
    {
        lock (_lock)
        {
            _letters.Add(letter);
            return _letters.Count - 1;
        }
    }

    internal void MarkTaken(int place, bool isAccepted)
    {
        lock (_lock)
            _letters[place] = _letters[place] with { IsAccepted = isAccepted, IsTaken = true };
    }

    private async Task ServeAsync()
    {
        try
        {
            while (true)
            {
                var client = await _listener.AcceptTcpClientAsync(End);
                int number;
                lock (_lock)
                    number = ++_connections;
                _ = TalkAsync(client, number);
            }
        }
        catch (Exception ended) when (ended is SocketException or ObjectDisposedException or OperationCanceledException)
        {
            // The test is over.
        }
    }

    private async Task TalkAsync(TcpClient client, int number)
    {
        try
        {
            using (client)
            {
                client.NoDelay = true;
                await new ScriptedTalk(this, number).HoldAsync(client.GetStream());
            }
        }
        catch (Exception ended) when (ended is IOException or SocketException or ObjectDisposedException or OperationCanceledException or AuthenticationException)
        {
            // The client went, or the test is over.
        }
    }
}
