using System;
using System.Collections.Generic;
using System.Linq;
using System.Threading;
using System.Threading.Tasks;
using NodaTime;
using RefillPlanner.Faults.Tests.Checker;
using RefillPlanner.Servers;

namespace RefillPlanner.Faults.Tests.Harness;

/// <summary>The mail server of a pharmacy: its behaviour can be changed while it runs, and its log tells what it kept, and where it kept silent.</summary>
internal sealed class MailPeer : IDisposable
{
    /// <summary>With these it lets a client log in.</summary>
    public const string User = "sender";

    /// <summary>With these it lets a client log in.</summary>
    public const string Password = "not a secret";

    private readonly Lock _lock = new();
    private readonly HashSet<int> _silent = [];
    private readonly Dictionary<int, int> _lives = [];
    private readonly ScriptedServer _server;
    private volatile MailMode _mode = MailMode.Normal;
    private TaskCompletionSource<SmtpMoment> _hung = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private int _life;

    public MailPeer(TimeProvider time) => _server = new ScriptedServer(Decide, new ScriptedServerOptions { Time = time, Account = (User, Password) });

    /// <summary>Its port on loopback.</summary>
    public int Port => _server.Port;

    /// <summary>How it behaves from now on.</summary>
    public MailMode Mode
    {
        get => _mode;
        set => _mode = value;
    }

    /// <summary>What it took, whether or not it could say so.</summary>
    public IReadOnlyList<TakenMail> Taken
    {
        get
        {
            lock (_lock)
                return [.. _server.Letters.Where(letter => letter.IsTaken || _silent.Contains(letter.Message)).Select(letter => new TakenMail(letter.MessageId, letter.To, letter.Subject, Instant.FromDateTimeOffset(letter.ReceivedAt)))];
        }
    }

    /// <summary>The letters that it received whole and said nothing about: in which life of the service, and which.</summary>
    public IReadOnlyList<(int Life, string MessageId)> Unanswered
    {
        get
        {
            lock (_lock)
                return [.. _server.Letters.Where(letter => _silent.Contains(letter.Message)).Select(letter => (_lives[letter.Message], letter.MessageId))];
        }
    }

    /// <summary>From now on it talks to another life of the service.</summary>
    public void BeginLife(int number)
    {
        lock (_lock)
        {
            _life = number;
            _hung = new(TaskCreationOptions.RunContinuationsAsynchronously);
        }
    }

    /// <summary>Waits until it keeps the present life waiting.</summary>
    public Task HungAsync()
    {
        lock (_lock)
            return _hung.Task;
    }

    public void Dispose() => _server.Dispose();

    private Reply? Decide(SmtpMoment moment)
    {
        var reply = _mode.Script(moment);
        lock (_lock)
        {
            if (moment.Phase == SmtpMoments.Message)
            {
                _lives[moment.Message] = _life;
                if (reply is { Kind: ReplyKind.Hang or ReplyKind.Close or ReplyKind.TakeAndClose })
                    _silent.Add(moment.Message);
            }

            if (reply is { Kind: ReplyKind.Hang or ReplyKind.Drip })
                _hung.TrySetResult(moment);
        }

        return reply;
    }
}
